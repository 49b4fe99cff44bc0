"""The browser's finding code, run by Node over a packed index, against finding done by hand on the cards."""

from __future__ import annotations

import json
import random
import shutil
import subprocess
from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

import pytest
from tests.site.find_by_hand import FIELDS, Asked, WordsByHand, failures, keys, left_out, shown
from tests.site.made_cards import ALLERGENS, DIETS, MEALS, SINGLE, TAGS, made_cards

from gramwright.resources import themes
from gramwright.site import search
from gramwright.site.cards import Card
from gramwright.site.search.fold import language, words

pytestmark = pytest.mark.long

HERE = Path(__file__).resolve().parent
BROWSER = themes() / "galley" / "browser"
SCRIPTS = [BROWSER / f"find-{name}.js" for name in ("pack", "fold", "columns", "core", "match", "state")]
ALSO = {"courgette": ("zucchini",), "aubergine": ("eggplant", "brinjal")}


class Finder:
    """The browser's code over one hub's cards, asked through a pipe."""

    def __init__(self, cards: list[Card], folder: Path) -> None:
        node = shutil.which("node")
        assert node, "Node is needed to run the browser's code"
        self.files = search.build(cards, ALLERGENS, also=ALSO)
        paths = []
        names = search.names(self.files)
        for name in (names.columns, names.titles, names.words):
            paths.append(folder / Path(name).name)
            paths[-1].write_bytes(self.files[name])
        self.process = subprocess.Popen(
            [node, str(HERE / "find_runner.cjs"), *map(str, SCRIPTS), *map(str, paths)],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            encoding="utf-8",
        )
        self.cards = search.in_order(cards)
        self.by_hand = WordsByHand(self.cards, language("en"), ALSO)

    def ask(self, **request: Any) -> Any:
        assert self.process.stdin
        assert self.process.stdout
        self.process.stdin.write(json.dumps(request) + "\n")
        self.process.stdin.flush()
        return json.loads(self.process.stdout.readline())

    def close(self) -> None:
        assert self.process.stdin
        assert self.process.stdout
        self.process.stdin.close()
        self.process.stdout.close()
        self.process.wait(10)


def odd_cards() -> list[Card]:
    """Cards at the edges: nothing known, everything at the ends, strange letters, the same title twice."""
    first = made_cards(1, seed=9)[0]
    nothing = replace(
        first,
        slug="nothing-known",
        title="Nothing known",
        meals=(),
        tags=(),
        suits=(),
        ingredients=(),
        summary="",
        contains=(),
        may_contain=(),
        unknown=SINGLE,
        incomplete=(),
        energy_kcal=None,
        protein_g=None,
        carbohydrate_g=None,
        fat_g=None,
        fibre_g=None,
        salt_g=None,
        hands_on_min=None,
        total_min=None,
    )
    return [
        nothing,
        replace(first, slug="zero", title="Zero & none", energy_kcal=0.0, protein_g=0.0, fat_g=0.0, salt_g=0.0),
        replace(
            first,
            slug="huge",
            title="Huge pot",
            energy_kcal=51234.5,
            protein_g=4000.04,
            total_min=10080.0,
            incomplete=(),
        ),
        replace(first, slug="twin-1", title="Twin"),
        replace(first, slug="twin-2", title="Twin"),
        replace(first, slug="jardiniere", title="Jardinière à l’ancienne"),
        replace(first, slug="halászlé", title="Halászlé – Donau", meals=("brunch",)),
        replace(first, slug="half", title="½ loaf", energy_kcal=99.5, protein_g=9.95, hands_on_min=4.2, total_min=3.0),
        replace(first, slug="both", title="Both states", contains=(), may_contain=("milk",), unknown=("milk",)),
        replace(
            first, slug="some-nuts", title="Some nuts", contains=("nuts",), may_contain=(), unknown=("almond", "walnut")
        ),
        replace(first, slug="roy", title='Roy\'s "rye" </script>', ingredients=("rye \u2028 bread", "courgette")),
    ]


@pytest.fixture(scope="module")
def finder(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Finder]:
    made = Finder([*made_cards(220), *odd_cards()], tmp_path_factory.mktemp("find"))
    yield made
    made.close()


def test_titles_and_slugs_come_back(finder: Finder) -> None:
    assert finder.ask(recipes=True) == [{"title": " ".join(c.title.split()), "slug": c.slug} for c in finder.cards]


@pytest.mark.parametrize("name", FIELDS)
def test_figures_come_back_as_shown(finder: Finder, name: str) -> None:
    per = 100 if name == "salt" else 1 if name in ("kcal", "hands_on", "total") else 10
    column = finder.ask(column=name)
    wanted = [shown(card, name) for card in finder.cards]
    assert column["values"] == [-1 if value is None else value * per for value in wanted]
    assert column["least"] == [FIELDS[name] in card.incomplete for card in finder.cards]


def test_the_same_words_are_folded_alike(finder: Finder) -> None:
    stem = language("en").stem
    texts = {text for card in finder.cards for text in (card.title, *card.ingredients)}
    for text in [*sorted(texts)[::7], "Straße Œuf ŁÓDŹ İzmir ΣΊΣΥΦΟΣ", "ﬁg ½ ² Ⅷ", "पनीर टिक्का", "👩‍🍳 soup"]:
        folded = list(words(text))
        assert finder.ask(fold=text) == {"words": folded, "stems": [stem(word) for word in folded]}


def random_range(rng: random.Random, name: str) -> tuple[float | None, float | None]:
    top = {"kcal": 900, "salt": 3, "hands_on": 60, "total": 150, "fibre": 15}.get(name, 45)
    ends = sorted(round(rng.uniform(0, top), rng.choice((0, 1))) for _ in range(2))
    low, high = rng.choice(((ends[0], ends[1]), (ends[0], None), (None, ends[1])))
    return low, high


def random_word(rng: random.Random, finder: Finder) -> str:
    word = rng.choice(sorted(finder.by_hand.of_card[rng.randrange(len(finder.cards))] or {"soup"}))
    how = rng.random()
    if how < 0.4:
        word = word[: rng.randint(1, len(word))]
    elif how < 0.7 and len(word) > 4:
        at = rng.randrange(len(word) - 1)
        word = rng.choice(
            (
                word[:at] + word[at + 1 :],
                word[:at] + rng.choice("aeiouxz") + word[at:],
                word[:at] + rng.choice("aeiouxz") + word[at + 1 :],
                word[:at] + word[at + 1] + word[at] + word[at + 2 :],
            )
        )
    elif how < 0.75:
        word = rng.choice(("qqqqqq", "brocolli", "zucchini", "the", "x"))
    return word


def random_asked(rng: random.Random, finder: Finder) -> Asked:
    names = [name for name in FIELDS if rng.random() < 0.16]
    return Asked(
        text=" ".join(random_word(rng, finder) for _ in range(rng.choice((0, 0, 0, 1, 1, 2, 3)))),
        ranges={name: random_range(rng, name) for name in names},
        meals=tuple(rng.sample([*sorted(keys(MEALS)), "no-such-meal"], rng.choice((0, 0, 0, 1, 2)))),
        tags=tuple(rng.sample([*sorted(keys(TAGS)), "no-such-tag"], rng.choice((0, 0, 0, 1, 2)))),
        diets=tuple(rng.sample(DIETS, rng.choice((0, 0, 0, 1)))),
        without=tuple(rng.sample([c.id for c in ALLERGENS], rng.choice((0, 0, 1, 2, 4)))),
        may=rng.random() < 0.3,
    )


def address(asked: Asked, sort: str = "") -> str:
    pairs: list[tuple[str, str]] = [("q", asked.text)] if asked.text else []
    for name, (low, high) in dict(asked.ranges).items():
        pairs.append((name, f"{'' if low is None else low}-{'' if high is None else high}"))
    for key, names in (("meal", asked.meals), ("tag", asked.tags), ("diet", asked.diets), ("without", asked.without)):
        pairs += [(key, name) for name in names]
    if asked.may:
        pairs.append(("may", "1"))
    if sort:
        pairs.append(("sort", sort))
    return "?" + urlencode(pairs)


def test_finding_agrees_with_finding_by_hand(finder: Finder) -> None:
    """Thousands of random searches: the recipes found, and of each condition how many it alone keeps away."""
    rng = random.Random(5)
    found_any = 0
    for _ in range(2000):
        asked = random_asked(rng, finder)
        result = finder.ask(search=address(asked))
        failed = failures(finder.cards, finder.by_hand, asked, ALLERGENS)
        wanted = [card.slug for card, fails in zip(finder.cards, failed, strict=True) if not fails]
        assert sorted(result["slugs"]) == sorted(wanted), asked
        assert result["total"] == len(wanted)
        alone = {tuple(name): count for name, count in zip(result["asked"], result["alone"], strict=True)}
        single = [fails[0] for fails in failed if len(fails) == 1]
        assert alone == {name: single.count(name) for name in alone}, asked
        found_any += bool(wanted)
    assert found_any > 400


def test_a_recipe_with_a_left_out_allergen_is_never_found(finder: Finder) -> None:
    """Contains, may contain and not known are all left out, whatever else is asked; not known also with may=1."""
    rng = random.Random(6)
    by_slug = {card.slug: card for card in finder.cards}
    for _ in range(1500):
        asked = random_asked(rng, finder)
        without = tuple(rng.sample([choice.id for choice in ALLERGENS], rng.randint(1, 6)))
        asked = replace(asked, without=without, text="", ranges={})
        for slug in finder.ask(search=address(asked))["slugs"]:
            card = by_slug[slug]
            for name in without:
                ids = {name, *(i for choice in ALLERGENS if choice.id == name for i in choice.members)}
                assert not ids & {*card.contains, *card.unknown}, (slug, name)
                assert asked.may or not ids & set(card.may_contain), (slug, name)
                group = next(choice.group for choice in ALLERGENS if choice.id == name)
                whole = dict(card.groups).get(group, "not_recorded")
                assert whole == "not_recorded" or (asked.may and whole == "may_contain"), (slug, name)


def test_an_allergen_that_the_index_does_not_know_leaves_nothing(finder: Finder) -> None:
    result = finder.ask(search="?without=shellfish")
    assert result["total"] == 0
    assert result["asked"] == [["without", "shellfish"]]
    assert finder.ask(search="?without=shellfish&may=1")["total"] == 0
    assert result["again"] == "?without=shellfish"


def test_how_many_more_may_contain_and_how_many_are_not_known(finder: Finder) -> None:
    result = finder.ask(search="?without=milk&without=nuts&kcal=100-600")
    shown_too = finder.ask(search="?without=milk&without=nuts&kcal=100-600&may=1")
    assert result["may"] == shown_too["total"] - result["total"] > 0
    assert shown_too["may"] == 0
    asked = Asked(ranges={"kcal": (100, 600)})
    nut_ids = {"nuts", *next(choice.members for choice in ALLERGENS if choice.id == "nuts")}
    unknown = [
        card
        for card, fails in zip(finder.cards, failures(finder.cards, finder.by_hand, asked, ALLERGENS), strict=True)
        if not fails
        and not ({"milk"} | nut_ids) & set(card.contains)
        and dict(card.groups)["nuts"] != "contains"
        and (dict(card.groups)["nuts"] == "unknown" or ({"milk"} | nut_ids) & set(card.unknown))
    ]
    assert result["open"] == shown_too["open"] == len(unknown) > 0


def test_a_choice_says_how_many_recipes_there_would_be_with_it(finder: Finder) -> None:
    rng = random.Random(7)
    for _ in range(25):
        asked = replace(random_asked(rng, finder), meals=(), may=False)
        counts = finder.ask(search=address(asked))["counts"]
        for meal in rng.sample(sorted(keys(MEALS)), 2):
            assert counts["meals"][meal] == finder.ask(search=address(replace(asked, meals=(meal,))))["total"]
        for tag in rng.sample(sorted(counts["tags"]), 3):
            wider = replace(asked, tags=(*asked.tags, tag))
            assert counts["tags"][tag] == finder.ask(search=address(wider))["total"]
        for diet in counts["diets"]:
            wider = replace(asked, diets=(*asked.diets, diet))
            assert counts["diets"][diet] == finder.ask(search=address(wider))["total"]
        for name in rng.sample(sorted(counts["without"]), 4):
            wider = replace(asked, without=(*asked.without, name))
            assert counts["without"][name] == finder.ask(search=address(wider))["total"]


def test_counts_of_meals_are_of_what_meets_everything_else(finder: Finder) -> None:
    one = finder.ask(search="?meal=snack&kcal=-300")["counts"]["meals"]
    for meal in sorted(keys(MEALS)):
        assert one[meal] == finder.ask(search=f"?{urlencode({'meal': meal, 'kcal': '-300'})}")["total"]


def test_histograms_count_what_meets_everything_else(finder: Finder) -> None:
    result = finder.ask(search="?kcal=300-400&meal=dinner", drawn=["kcal", "protein", "ratio", "salt"])
    free = finder.ask(search="?meal=dinner", drawn=["kcal"])
    assert result["histograms"]["kcal"] == free["histograms"]["kcal"]
    dinners = [card for card in finder.cards if "dinner" in card.meals]
    assert sum(free["histograms"]["kcal"]) == sum(card.energy_kcal is not None for card in dinners)
    assert sum(result["histograms"]["protein"]) <= result["total"]


@pytest.mark.parametrize(
    ("sort", "name", "highest_first"),
    [
        ("energy", "kcal", False),
        ("energy_high", "kcal", True),
        ("protein", "protein", True),
        ("work", "hands_on", False),
        ("time", "total", False),
    ],
)
def test_sorting_puts_what_is_not_known_last(finder: Finder, sort: str, name: str, highest_first: bool) -> None:
    by_slug = {card.slug: card for card in finder.cards}
    found = [by_slug[slug] for slug in finder.ask(search=f"?sort={sort}")["slugs"]]
    assert len(found) == len(finder.cards)

    def key(card: Card) -> tuple[int, Fraction]:
        value = shown(card, name)
        if value is None:
            return 2, Fraction(0)
        late = not highest_first and FIELDS[name] in card.incomplete
        return int(late), -value if highest_first else value

    keys = [key(card) for card in found]
    assert keys == sorted(keys)


def test_sorting_by_protein_per_100_kcal(finder: Finder) -> None:
    by_slug = {card.slug: card for card in finder.cards}
    found = [by_slug[slug] for slug in finder.ask(search="?sort=ratio")["slugs"]]
    known = [card for card in found if card.protein_per_100kcal is not None and "energy_kcal" not in card.incomplete]
    assert [card.slug for card in found[: len(known)]] == [card.slug for card in known]
    ratios = [card.protein_per_100kcal or 0.0 for card in known if (card.energy_kcal or 0) > 100]
    for before, after in pairwise(ratios):
        assert after <= before + 0.12, "tenths of a gram and whole kcal may change places, no more"


def test_a_whole_word_in_the_title_comes_before_the_rest(finder: Finder) -> None:
    by_slug = {card.slug: card for card in finder.cards}
    found = [by_slug[slug] for slug in finder.ask(search="?q=leeks")["slugs"]]
    has_it = ["leek" in words(card.title) for card in found]
    assert has_it[0]
    assert not has_it[-1]
    assert has_it == sorted(has_it, reverse=True)


def test_another_name_of_an_ingredient_finds_it(finder: Finder) -> None:
    zucchini = finder.ask(search="?q=zucchini")["slugs"]
    assert sorted(zucchini) == sorted(card.slug for card in finder.cards if "courgette" in card.ingredients)


def test_the_ingredient_that_was_found_is_named(finder: Finder) -> None:
    by_slug = {card.slug: card for card in finder.cards}
    result = finder.ask(search="?q=halloumi&sort=energy")
    for slug, names in zip(result["slugs"], result["foundIn"], strict=False):
        card = by_slug[slug]
        if "halloumi" in words(card.title):
            assert names == []
        else:
            assert all("halloumi" in name and name in card.ingredients for name in names)
            assert names


@pytest.mark.parametrize(
    "search_text",
    [
        "",
        "?q=barley+squash",
        "?kcal=300-450&protein=30-&hands_on=-20&without=milk&may=1&sort=protein",
        "?meal=lunch&meal=dinner&tag=one+tray&diet=vegan&without=brazil+nut",
        "?salt=0.5-1.25",
    ],
)
def test_an_address_comes_back(finder: Finder, search_text: str) -> None:
    assert finder.ask(search=search_text)["again"] == search_text


@pytest.mark.parametrize(
    ("given", "kept"),
    [
        ("?kcal=abc", ""),
        ("?kcal=450-300", "?kcal=300-450"),
        ("?sort=price", ""),
        ("?may=1", ""),
        ("?kcal=-", ""),
        ("?kcal=1e9-", ""),
        ("?q=%20%20", ""),
        ("?without=milk&without=milk", "?without=milk"),
    ],
)
def test_an_odd_address_is_read_as_far_as_it_makes_sense(finder: Finder, given: str, kept: str) -> None:
    assert finder.ask(search=given)["again"] == kept


def test_the_same_cards_give_the_same_bytes_in_any_order() -> None:
    cards = made_cards(120)
    files = search.build(cards, ALLERGENS)
    random.Random(3).shuffle(cards)
    assert search.build(cards, ALLERGENS) == files


def test_a_name_changes_with_the_content_and_only_then() -> None:
    cards = made_cards(40)
    files = search.build(cards, ALLERGENS)
    changed = [replace(cards[0], summary="Something else."), *cards[1:]]
    other = search.build(changed, ALLERGENS)
    names, other_names = search.names(files), search.names(other)
    assert names.columns == other_names.columns
    assert names.words == other_names.words
    assert {p for p in files if "lines" in p}.isdisjoint(p for p in other if "lines" in p)


def test_no_recipes_and_one_recipe_work(tmp_path: Path) -> None:
    for cards in ([], made_cards(1)):
        small = Finder(cards, tmp_path)
        try:
            result = small.ask(search="?sort=protein", drawn=["kcal"])
            assert result["total"] == len(cards)
            assert small.ask(search="?q=soup&kcal=0-9999")["total"] <= len(cards)
        finally:
            small.close()


def test_damaged_columns_show_nothing(tmp_path: Path) -> None:
    """A column that lost a digit throws before anything can be asked."""
    cards = made_cards(50)
    files = search.build(cards, ALLERGENS)
    name = search.names(files).columns
    text = files[name].decode()
    at = text.index('"kcal":') + 9
    (tmp_path / "columns.js").write_text(text[:at] + text[at + 1 :], encoding="utf-8")
    code = "find.unpacked.open(find.columns)"
    node = shutil.which("node")
    assert node
    script = tmp_path / "try.cjs"
    script.write_text(
        "const {readFileSync}=require('fs');const {runInThisContext}=require('vm');"
        "for(const f of process.argv.slice(2))runInThisContext(readFileSync(f,'utf8'));"
        f"const find=globalThis.GramwrightFind;{code}",
        encoding="utf-8",
    )
    command = [node, str(script), *map(str, SCRIPTS), str(tmp_path / "columns.js")]
    ran = subprocess.run(command, capture_output=True, text=True, check=False)
    assert ran.returncode != 0
    assert "the index is damaged" in ran.stderr


def test_by_hand_agrees_on_what_leaving_out_means() -> None:
    """The yardstick itself: one card in each state."""
    card = made_cards(1)[0]
    states = {
        "contains": replace(card, contains=("milk",), may_contain=(), unknown=()),
        "may": replace(card, contains=(), may_contain=("milk",), unknown=()),
        "unknown": replace(card, contains=(), may_contain=(), unknown=("milk",)),
        "none": replace(card, contains=("eggs",), may_contain=(), unknown=()),
    }
    strict = {state for state, c in states.items() if left_out(c, "milk", ALLERGENS, False)}
    wider = {state for state, c in states.items() if left_out(c, "milk", ALLERGENS, True)}
    assert strict == {"contains", "may", "unknown"}
    assert wider == {"contains", "unknown"}
