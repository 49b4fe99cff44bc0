"""The data block of one recipe. Takes a dish taken apart and its label, gives JSON for the page's script.

Always: `n` portions, `rows` (kitchen.entry of every row, then of its swaps). With something to choose, `o` too:

    tags      components, in the order of every ledger's `a`
    pick      [ingredient index, whether it is optional, number of swaps] of every row that leaves a choice
    f, l      ledger of the fixed rows; ledgers of the options by "index.option"
    tangled, ways   rows whose ranges are put together, and the ranges by their options ("0,-1")
    fin       [finished grams or null, how they are known, raw grams], as written
    strip     [index, key, name, kcal by factors, kcal by table, grams] a portion, of every fixed row
    doubt     [index, half-width in kcal a portion, name] of the fixed rows, and the method that it holds for
    said      index ("index.option") -> what its foods say of allergens: [food, contains, may contain, not known]
    page      what only the page can answer for claims and cautions

A ledger: g eaten grams; a amounts by tag, null where nothing is known; n unknown grams of what is known in part;
j energy in kJ; e, b energy in kcal by factors and in kJ by the tables: [amount, squared half-width below, above,
added below, above, covered grams where not all]; d diets; m matchers of cautions; v whether sugars, salt are added;
taste what rows to taste may bring, salted 1 when one of them is salt, or as good as salt.
Allergens are letters, in the order of the rules' list.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from typing import Any, NamedTuple

from gramwright.labelling import allergen_rules
from gramwright.labelling.allergens import foods_said
from gramwright.labelling.caution_rules import Condition, matched_by, of_scope
from gramwright.labelling.cautions import days_said
from gramwright.labelling.claim_data import claim_data
from gramwright.labelling.claim_rows import answer, salts
from gramwright.labelling.diets import suits
from gramwright.labelling.energy import row_kcal
from gramwright.labelling.rules_model import Rows, RuleSet
from gramwright.labelling.ruleset_reader import folded
from gramwright.model import Dish, Food, Ingredient, Label, RecipePage, Scale, Settings
from gramwright.nutrition.ranges import Spread
from gramwright.nutrition.variants import taken
from gramwright.site.allergen_view import excepted
from gramwright.site.cook.ledgers import Ledger, Ledgers

_ANSWER = {True: "y", False: "n", None: "?"}
FIRST_LETTER = 48
"""'0': an allergen's place in the rules' list is the letter that many places after it."""


MOST_FOODS = 20_000


class _Traits(NamedTuple):
    answers: str
    """One letter a diet, then for sugars and for salt: y that none is added, n that some is, ? not known."""
    matchers: frozenset[int]


def _together(each: Sequence[_Traits]) -> _Traits:
    """A no of one is a no of all, and what one leaves open stays open."""
    if len(each) == 1:
        return each[0]
    columns = zip(*(traits.answers for traits in each), strict=True)
    answers = "".join("n" if "n" in column else "?" if "?" in column else "y" for column in columns)
    return _Traits(answers, frozenset().union(*(traits.matchers for traits in each)))


def number(amount: float) -> str:
    return f"{amount:.15g}"


class Writer:
    """Writes data blocks under one rule set."""

    def __init__(self, rules: RuleSet, settings: Settings, today: date) -> None:
        self._rules = rules
        self._settings = settings
        self._today = today
        law = allergen_rules.load(rules.id)
        self._letters = {name: chr(FIRST_LETTER + at) for at, name in enumerate(law.names("en"))}
        self._law = law
        self._known: dict[int, tuple[Food, _Traits]] = {}
        self._speech: dict[int, tuple[Food, list[list[Any]]]] = {}

    def choices(self, dish: Dish, label: Label, books: Ledgers) -> str:
        """The `o` part."""
        items = dish.ingredients
        tags = [at for at, _ in enumerate(books.tags) if _known(books, at)]
        picks = sorted({at for at, _ in books.options} | _left_out(dish))
        chosen = set(picks)
        fixed = [item for at, item in enumerate(items) if at not in chosen]
        options = {key: taken(items[key[0]], key[1]) for key in books.options}
        ledgers = ",".join(
            f'"{at}.{option}":{self._ledger(books.options[at, option], tags, (item,))}'
            for (at, option), item in options.items()
            if item is not None
        )
        said = {str(at): heard for at, item in enumerate(items) if at not in chosen and (heard := self._said(item))}
        for (at, option), item in options.items():
            if item is not None and (heard := self._said(item)):
                said[f"{at}.{option}"] = heard
        by_factors, by_table = self._by_row(dish, label, books)
        portions = dish.page.portions
        strip = ",".join(
            f"[{at},{_text(item.key)},{_text(item.name)},{number(by_factors[at])},{number(by_table[at])},"
            f"{number(item.grams / portions)}]"
            for at, item in enumerate(items)
            if at not in chosen and item.grams > 0
        )
        names = {f"{at}.{option}": [item.key, item.name] for (at, option), item in options.items() if item is not None}
        rest = {
            "tags": [books.tags[at] for at in tags],
            "pick": [[at, int(items[at].row.optional), len(items[at].swaps)] for at in picks],
            "tangled": list(books.tangled),
            "fin": [dish.finished_g, dish.finished_by.value, dish.raw_g],
            "names": names,
            "said": said,
            "doubt": [[at, half, items[at].name] for at, half in label.uncertain if at not in chosen],
            "by": label.energy_by,
            "page": self._page(dish),
        }
        ways = (
            "null"
            if books.ways is None
            else "{"
            + ",".join(
                f'"{",".join(map(str, way))}":[{_spread(kcal)},{_spread(table)}]'
                for way, (kcal, table) in books.ways.items()
            )
            + "}"
        )
        base = self._ledger(books.fixed, tags, fixed)
        return f'{_json(rest)[:-1]},"f":{base},"l":{{{ledgers}}},"ways":{ways},"strip":[{strip}]}}'

    def _by_row(self, dish: Dish, label: Label, books: Ledgers) -> tuple[Sequence[float], Sequence[float]]:
        """kcal of every row by factors and by table; one of them twice where no choice can change the method."""
        every = (books.fixed, *books.options.values())
        if self._settings.energy != "table" and all(each.kcal.covered_g == each.kcal.share_g for each in every):
            known = [kcal or 0.0 for kcal in label.row_energy_kcal]
            return known, known
        factors, table = (row_kcal(dish, self._rules, by) for by in ("factors", "table"))
        return [kcal or 0.0 for kcal in factors], [kcal or 0.0 for kcal in table]

    # ------------------------------------------------------------ ledgers

    def _traits(self, item: Ingredient) -> _Traits:
        """Diets, additions and caution matchers of one food, kept; of a recipe's foods together."""
        if item.food is None:
            each = [self._of_food(inner, food) for food, inner in _rows(item)]
            return _together(each)
        return self._of_food(item, item.food)

    def _of_food(self, item: Ingredient, food: Food) -> _Traits:
        known = self._known.get(id(food))
        if known is not None and known[0] is food:
            return known[1]
        diets = "".join(_ANSWER[each] for each in suits((item,)).values())
        added = "".join(
            _ANSWER[answer(rows, (food,), "", False, self._rules.spoken).holds]
            for rows in (Rows.NO_ADDED_SUGARS, Rows.NO_ADDED_SALT)
        )
        if len(self._known) > MOST_FOODS:
            self._known.clear()
        made = _Traits(diets + added, matched_by(food))
        self._known[id(food)] = food, made
        return made

    def _ledger(self, ledger: Ledger, tags: Sequence[int], items: Sequence[Ingredient]) -> str:
        parts = [f'"g":{number(ledger.grams)}']
        if ledger.amounts:
            amounts = [ledger.amounts[at] for at in tags]
            parts.append('"a":[' + ",".join("null" if each is None else number(each) for each in amounts) + "]")
            partly = [
                f'"{place}":{number(ledger.unknown_g[at])}'
                for place, at in enumerate(tags)
                if ledger.unknown_g[at] and ledger.amounts[at] is not None
            ]
            if partly:
                parts.append('"n":{' + ",".join(partly) + "}")
            parts.append(f'"j":{number(ledger.kj.amount)},"e":{_spread(ledger.kcal)},"b":{_spread(ledger.table)}')
        if items:
            traits = _together([self._traits(item) for item in items])
            parts.append(f'"d":"{traits.answers[:-2]}","v":"{traits.answers[-2:]}"')
            if traits.matchers:
                parts.append(f'"m":[{",".join(map(str, sorted(traits.matchers)))}]')
        taste = [item.food for item in items for item in _to_taste(item)]
        if taste:
            parts.append(f'"taste":{_json(self._seasoning(taste))}')
            if any(food is not None and salts(food) for food in taste):
                parts.append('"salted":1')
        return "{" + ",".join(parts) + "}"

    def _seasoning(self, foods: Iterable[Food | None]) -> dict[str, float]:
        """Tag -> what foods to taste may bring to a portion; a tag that one of them does not know is missing."""
        each = [food.values for food in foods if food is not None]
        known = set(each[0]).intersection(*each[1:])
        to_taste = claim_data().to_taste_g
        return {tag: sum(values[tag].amount * to_taste / 100 for values in each) for tag in sorted(known)}

    def _said(self, item: Ingredient) -> list[list[Any]]:
        """What the foods of a row say of allergens; a food's own is kept."""
        if item.food is None:
            return self._heard(item)
        known = self._speech.get(id(item.food))
        if known is not None and known[0] is item.food:
            return known[1]
        if len(self._speech) > MOST_FOODS:
            self._speech.clear()
        made = self._heard(item)
        self._speech[id(item.food)] = item.food, made
        return made

    def _heard(self, item: Ingredient) -> list[list[Any]]:
        found: list[list[Any]] = []
        for food, said in foods_said(item, self._law.id, self._settings, self._today):
            entry: list[Any] = [
                food.name,
                *(self._spelt(ids) for ids in (said.contains, said.may_contain, said.unknown)),
            ]
            texts = [
                excepted(food.name, exception.text(self._settings.language), exception.laws[self._law.id])
                for name in sorted(said.excepted)
                for exception in (allergen_rules.exceptions()[name],)
            ]
            if texts:
                entry.append(texts)
            if any(entry[1:]) and entry not in found:
                found.append(entry)
        return found

    def _spelt(self, ids: Iterable[str]) -> str:
        return "".join(sorted(self._letters[name] for name in ids if name in self._letters))

    # ------------------------------------------------------------ the page

    def _page(self, dish: Dish) -> dict[str, Any]:
        page = dish.page
        asked = {name: 1 for claim in page.claims if (name := self._rules.claim_names.get(folded(claim)))}
        drinks = claim_data().drink_words
        days = page.keeps.fridge_days
        silenced = {statement.name: statement.reason.strip() for statement in page.silenced}
        known = {rule.id for rule in of_scope("page")}
        text = " | ".join((page.title, page.summary, *page.tags, *page.claims)).casefold()
        holds = [
            f"{number}.{place}"
            for number, rule in enumerate(of_scope("page"))
            for place, when in enumerate(rule.when)
            if (when.keeps or when.fridge_days_above is not None or when.words) and _page_holds(when, page, text)
        ]
        return {
            "asked": list(asked),
            "liquid": not drinks.isdisjoint(word.lower() for word in (*page.meals, *page.tags)),
            "cautions": [name for name in page.cautions if name in known] + list(self._settings.cautions_asked),
            "silenced": {name: reason for name, reason in silenced.items() if reason},
            "holds": holds,
            "fridge": "" if days is None else days_said(days, self._settings.language),
        }


def _page_holds(when: Condition, page: RecipePage, text: str) -> bool:
    """Whether what a condition asks of the page itself holds (labelling.cautions asks the same)."""
    fridge, freezer = page.keeps.fridge_days, page.keeps.freezer_days
    kept = {"": True, "fridge": fridge is not None, "freezer": freezer is not None}
    if not kept.get(when.keeps, fridge is not None or freezer is not None):
        return False
    if when.fridge_days_above is not None and (fridge is None or fridge <= when.fridge_days_above):
        return False
    return when.words is None or when.words.search(text) is not None


def _known(books: Ledgers, at: int) -> bool:
    return any(each.amounts and each.amounts[at] is not None for each in (books.fixed, *books.options.values()))


def _left_out(dish: Dish) -> set[int]:
    return {at for at, item in enumerate(dish.ingredients) if item.row.optional}


def _rows(item: Ingredient) -> list[tuple[Food, Ingredient]]:
    """The counted foods of a row that is a recipe, to any depth."""
    found: list[tuple[Food, Ingredient]] = []
    for inner in item.dish.counted if item.dish is not None else ():
        found += _rows(inner) if inner.food is None else [(inner.food, inner)]
    return found


def _to_taste(item: Ingredient) -> list[Ingredient]:
    if item.dish is not None:
        return [inner for row in item.dish.counted for inner in _to_taste(row)]
    return [item] if item.scale is Scale.TASTE else []


def _spread(spread: Spread) -> str:
    amount, *widths, covered_g, share_g = spread
    made = [number(amount), *(f"{each:.12g}" for each in widths)]
    if covered_g != share_g:
        made.append(number(covered_g))
    return f"[{','.join(made)}]"


_text = json.encoder.encode_basestring
_encoder = json.JSONEncoder(ensure_ascii=False, separators=(",", ":"))


def _json(data: Mapping[str, Any] | Sequence[Any]) -> str:
    return _encoder.encode(data)
