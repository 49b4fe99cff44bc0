"""The browser's finding code, run by Node over a packed index; and random searches to ask it."""

from __future__ import annotations

import random
from dataclasses import replace
from pathlib import Path
from urllib.parse import urlencode

from tests.site.find_by_hand import FIELDS, Asked, WordsByHand, keys
from tests.site.made_cards import ALLERGENS, DIETS, MEALS, SINGLE, TAGS, made_cards
from tests.site.node_asked import NodeAsked

from gramwright.resources import themes
from gramwright.site import search
from gramwright.site.cards import Card
from gramwright.site.search.fold import language

BROWSER = themes() / "galley" / "browser"
NAMES = ("pack", "fold", "columns", "core", "match", "state", "swaps")
SCRIPTS = [BROWSER / f"find-{name}.js" for name in NAMES]
ALSO = {"courgette": ("zucchini",), "aubergine": ("eggplant", "brinjal")}


class Finder(NodeAsked):
    """The browser's code over one hub's cards, asked through a pipe."""

    def __init__(self, cards: list[Card], folder: Path) -> None:
        self.files = search.build(cards, ALLERGENS, also=ALSO)
        paths = []
        names = search.names(self.files)
        for name in (names.columns, names.titles, names.words, names.swaps):
            paths.append(folder / Path(name).name)
            paths[-1].write_bytes(self.files[name])
        super().__init__("find_runner.cjs", [*SCRIPTS, *paths])
        self.cards = search.in_order(cards)
        self.by_hand = WordsByHand(self.cards, language("en"), ALSO)


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
