"""Allergens as a page shows them. Takes findings, gives words for the panel and marks for the ingredient list.

Nothing here decides: the states come from the label. What is not known is
always said, and nothing is called free from anything.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Set
from datetime import date
from typing import NamedTuple

from gramwright.labelling.allergens import Said, said_by
from gramwright.model import AllergenFindings, Food, Ingredient, Presence, Settings, Why
from gramwright.site.words import Words


class AllergenLine(NamedTuple):
    """One allergen by the law's name, and the foods that bring it in."""

    word: str
    foods: str


class AllergensView(NamedTuple):
    """What `parts/allergens.html` gets."""

    contains: tuple[AllergenLine, ...]
    may_contain: tuple[AllergenLine, ...]
    unknown: tuple[str, ...]
    """Names of the allergens that are not known."""
    unknown_foods: str
    """The foods that leave them not known, in words."""
    excepted: tuple[str, ...]
    """Legal exceptions that were used, in words."""


def view(findings: AllergenFindings, words: Words) -> AllergensView:
    """Takes a label's findings, gives them in words, in the law's order."""
    unknown = findings.listed(Presence.UNKNOWN)
    unknown_foods = dict.fromkeys(why.name for name in unknown for why in findings.because.get(name, ()))
    return AllergensView(
        contains=_lines(findings, Presence.CONTAINS),
        may_contain=_lines(findings, Presence.MAY_CONTAIN),
        unknown=tuple(findings.words[name] for name in findings.open),
        unknown_foods=words("list.comma").join(unknown_foods),
        excepted=tuple(excepted(used.name, used.text, used.source) for used in findings.excepted),
    )


def excepted(name: str, text: str, source: str) -> str:
    """A legal exception that is used, in words: the food, what the law takes off, and where it says so."""
    return f"{name}: {text} ({source})"


def law(rules_id: str, settings: Settings, today: date) -> Callable[[Ingredient], Said]:
    """What one row or swap says under a rule set on a day."""
    return lambda ingredient: said_by(ingredient, rules_id, settings, today)


def _lines(findings: AllergenFindings, presence: Presence) -> tuple[AllergenLine, ...]:
    return tuple(
        AllergenLine(findings.words[name], ", ".join(dict.fromkeys(why.name for why in findings.because.get(name, ()))))
        for name in findings.listed(presence)
    )


class RowMarks(NamedTuple):
    """What the ingredient list must say of one row."""

    contains: tuple[str, ...]
    may_contain: tuple[str, ...]
    unknown: bool
    """Some allergen of it is not known."""


NOTHING = RowMarks((), (), False)


class Marker:
    """Allergen marks of a dish's rows, as the label decided; optional rows and swaps as the law says of them."""

    def __init__(self, findings: AllergenFindings, law: Callable[[Ingredient], Said], names: Mapping[str, str]) -> None:
        """`names` has every name of the rule set in its order, generic ones too: 'nuts' may be in an optional row alone
        (Regulation (EU) No 1169/2011, Article 21 and Annex II, 8, names each nut; which it is is then not known)."""
        self._law = law
        self._words = names
        self._order = {name: at for at, name in enumerate(names)}
        self._contains: dict[str, list[str]] = {}
        self._may_contain: dict[str, list[str]] = {}
        self._unknown: set[str] = set()
        for name, state in findings.states.items():
            whys = findings.because.get(name, ())
            if state is Presence.CONTAINS:
                self._note(self._contains, name, whys)
            elif state is Presence.MAY_CONTAIN:
                self._note(self._may_contain, name, whys)
            elif state is Presence.UNKNOWN:
                self._unknown.update(why.food for why in whys)

    @staticmethod
    def _note(into: dict[str, list[str]], name: str, whys: tuple[Why, ...]) -> None:
        for why in whys:
            names = into.setdefault(why.food, [])
            if name not in names:
                names.append(name)

    def counted(self, ingredient: Ingredient) -> RowMarks:
        """Marks of a row that counts."""
        foods = [food.id for food in _foods(ingredient)]
        contains = self._named(self._contains, foods)
        may_contain = self._named(self._may_contain, foods)
        unknown = any(food in self._unknown for food in foods)
        if not (contains or may_contain or unknown):
            return NOTHING
        return RowMarks(contains, may_contain, unknown)

    def left_out(self, ingredient: Ingredient) -> RowMarks:
        """Marks of an optional row or a swap, which the findings say nothing of."""
        said = self._law(ingredient)
        return RowMarks(self._in_order(said.contains), self._in_order(said.may_contain), bool(said.unknown))

    def _named(self, notes: Mapping[str, list[str]], foods: list[str]) -> tuple[str, ...]:
        if len(foods) == 1:
            return tuple(self._words[name] for name in notes.get(foods[0], ()))
        return self._in_order({name for food in foods for name in notes.get(food, ())})

    def _in_order(self, names: Set[str]) -> tuple[str, ...]:
        """The rule set's words for allergen ids in its order; an id it does not list keeps its own name, at the end."""
        ordered = sorted(names, key=lambda name: (self._order.get(name, len(self._order)), name))
        return tuple(self._words.get(name, name) for name in ordered)


def _foods(ingredient: Ingredient) -> Iterator[Food]:
    """The foods of a row: its own, or every counted one of its recipe."""
    if ingredient.food is not None:
        yield ingredient.food
    elif ingredient.dish is not None:
        for inner in ingredient.dish.counted:
            yield from _foods(inner)
