"""Labels for containers. Takes a dish and its label, gives recipes/<slug>/labels.html: one page, every sheet.

Template `labels.html` gets `shell` and `labels`, a LabelsView. The reader chooses a sheet by radio buttons that the
style sheet follows (no script); printing gives the sheet alone, in millimetres.

Nothing is ever cut off: for every sheet the largest type is chosen in which the whole text, allergens above all, has
room by a cautious estimate. A sheet on which even the smallest type has none is not offered, and the page says so.
"""

from __future__ import annotations

import math
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from gramwright.model import Dish, Label, Presence
from gramwright.site.pages.recipe import Drawn, draw, keeping
from gramwright.site.panel_view import PanelView
from gramwright.site.theme import Theme
from gramwright.site.words import Words


@dataclass(frozen=True, slots=True)
class Sheet:
    """One kind of label sheet as sold, its labels centred on the paper. Lengths in millimetres."""

    id: str
    paper: str
    across: int
    down: int
    wide: float
    high: float
    gap: float
    """Between columns."""

    @property
    def count(self) -> int:
        return self.across * self.down


SHEETS = (
    Sheet("a4-8", "A4", 2, 4, 99.1, 67.7, 2.5),
    Sheet("a4-14", "A4", 2, 7, 99.1, 38.1, 2.5),
    Sheet("a4-21", "A4", 3, 7, 63.5, 38.1, 2.5),
    Sheet("a4-24", "A4", 3, 8, 63.5, 33.9, 2.5),
    Sheet("letter-10", "Letter", 2, 5, 101.6, 50.8, 4.8),
    Sheet("letter-14", "Letter", 2, 7, 101.6, 33.9, 4.8),
    Sheet("letter-30", "Letter", 3, 10, 66.7, 25.4, 3.2),
)
"""Common sheets (common practice, no source); style/labels.css has the same lengths, a test compares them."""
PREFERRED = {"A4": "a4-14", "Letter": "letter-10"}
LETTER_RULES = ("us",)
"""Rule sets of places that print on Letter."""

SIZES = (14.0, 12.0, 10.5, 9.5, 8.5, 7.5, 6.8, 6.2, 5.7)
"""Type in points, largest first. In the smallest a sans serif's x is still 0.9 mm high, the least that Regulation
(EU) No 1169/2011, Article 13(3), allows on the smallest packs (from memory)."""
PAD_ACROSS, PAD_DOWN = 3.0, 2.4
"""Millimetres kept free at a label's edges."""
POINT = 25.4 / 72
LINE = 1.22
SIGN, WIDE_SIGN = 0.6, 1.05
"""Widths of a letter in ems: a bold sans serif of the wider kind, and a Chinese, Japanese or Korean sign."""
NAME = 1.3
"""The name's size, in ems."""
RULE, RULE_FROM = 1.8, 30.0
"""Height of the drawn portion, in ems; labels lower than so many millimetres go without."""
DATES = 2.1
"""Height of the line with the dates, in ems."""


class SheetView(NamedTuple):
    """One sheet to choose."""

    id: str
    text: str
    """'A4, 21 labels of 63.5 x 38.1 mm'."""
    size: int
    """Which of SIZES it prints in: class `size-<n>`."""
    chosen: bool


class LabelsView(NamedTuple):
    """What `labels.html` gets."""

    title: str
    recipe_href: str
    sheets: tuple[SheetView, ...]
    too_small: tuple[str, ...]
    """Sheets on which this recipe has no room."""
    copies: int
    """Labels on the fullest sheet offered."""
    energy: str
    """'at least 534 kcal', or that it is not known."""
    portion: str
    """'2 234 kJ, a portion of 420 g'."""
    panel: PanelView
    contains: tuple[str, ...]
    may_contain: tuple[str, ...]
    unknown: tuple[str, ...]
    unknown_rest: str
    """In the place of `unknown`, when nothing is known but what is named before it; ''."""
    keeping: str


def path_of(slug: str) -> str:
    return f"recipes/{slug}/labels.html"


def render(theme: Theme, dish: Dish, label: Label, drawn: Drawn | None = None) -> dict[str, bytes]:
    """The page with the label sheets of one recipe; `drawn` is what its recipe's page shows, where that is at hand."""
    path = path_of(dish.page.slug)
    words = theme.words
    shell = theme.shell(
        path,
        kind="labels",
        title=words("labels.page", title=dish.page.title),
        description=words("labels.description"),
        styles=("labels.css",),
        section="recipes",
        index=False,
    )
    return {path: theme.render("labels.html", shell, labels=view(theme, dish, label, drawn))}


def view(theme: Theme, dish: Dish, label: Label, drawn: Drawn | None = None) -> LabelsView:
    """Takes a dish and its label, gives what the page shows."""
    words = theme.words
    panel, found = drawn or draw(theme, dish, label)
    contains = tuple(line.word for line in found.contains)
    may_contain = tuple(line.word for line in found.may_contain)
    unknown = found.unknown
    rest = _unknown_rest(label, words)
    energy, portion = _figures(dish, label, words)
    kept = keeping(dish.page.keeps, words)
    texts = [f"{energy}, {portion}", kept, _said(contains, may_contain, (rest,) if rest else unknown, words)]
    name, said = _widths(dish.page.title), [_widths(text) for text in texts]
    fits = {sheet.id: _fitting(sheet, name, said) for sheet in SHEETS}
    chosen = _chosen(theme.settings.rule_set, fits)
    offered = [sheet for sheet in SHEETS if fits[sheet.id] is not None]
    return LabelsView(
        title=dish.page.title,
        recipe_href="index.html",
        sheets=tuple(
            SheetView(sheet.id, _described(sheet, words), fits[sheet.id] or 0, sheet.id == chosen) for sheet in offered
        ),
        too_small=tuple(_described(sheet, words) for sheet in SHEETS if fits[sheet.id] is None),
        copies=max((sheet.count for sheet in offered), default=0),
        energy=energy,
        portion=portion,
        panel=panel,
        contains=contains,
        may_contain=may_contain,
        unknown=() if rest else unknown,
        unknown_rest=rest,
        keeping=kept,
    )


def _fitting(sheet: Sheet, name: Sequence[float], texts: Sequence[Sequence[float]]) -> int | None:
    """Which of SIZES a label's words (their widths in ems) have room in on a sheet; None: in none."""
    fixed = DATES + (RULE if sheet.high >= RULE_FROM else 0.0)
    whole = sum(map(sum, texts))
    for at, size in enumerate(SIZES):
        em = size * POINT
        room = (sheet.wide - 2 * PAD_ACROSS) / em
        least = (sheet.high - 2 * PAD_DOWN) / em - fixed
        if (NAME + whole / room) * LINE > least:
            continue
        lines = NAME * _lines(name, room / NAME)
        for text in texts:
            lines += _lines(text, room)
            if lines * LINE > least:
                break
        else:
            return at
    return None


def _widths(text: str) -> list[float]:
    """The widths of a text's words, in ems."""
    if text.isascii():
        return [SIGN * len(word) for word in text.split()]
    return [
        sum(WIDE_SIGN if unicodedata.east_asian_width(sign) in "WF" else SIGN for sign in word) for word in text.split()
    ]


def _lines(words: Sequence[float], room: float) -> int:
    """Lines that words take where a line has room for so many ems; one that is wider goes over several."""
    if not words:
        return 0
    lines, used = 1, 0.0
    for width in words:
        if used and used + SIGN / 2 + width > room:
            lines, used = lines + 1, 0.0
        if width > room:
            lines, width = lines + math.ceil(width / room) - 1, room
        used += width + (SIGN / 2 if used else 0.0)
    return lines


def _chosen(rule_set: str, fits: dict[str, int | None]) -> str:
    paper = "Letter" if rule_set in LETTER_RULES else "A4"
    offered = [sheet for sheet in SHEETS if fits[sheet.id] is not None]
    if any(sheet.id == PREFERRED[paper] for sheet in offered):
        return PREFERRED[paper]
    same = [sheet for sheet in offered if sheet.paper == paper]
    return next((sheet.id for sheet in (*same, *offered)), "")


def _described(sheet: Sheet, words: Words) -> str:
    wide, high = words.plain(sheet.wide), words.plain(sheet.high)
    return words("labels.sheet", paper=sheet.paper, count=sheet.count, wide=wide, high=high)


def _figures(dish: Dish, label: Label, words: Words) -> tuple[str, str]:
    portion = words("panel.portion") if dish.portion_g is None else words("panel.of", grams=words.grams(dish.portion_g))
    kcal = label.per_portion.get("ENERC_kcal")
    kj = label.per_portion.get("ENERC_kJ")
    if kcal is None or kj is None:
        return words("labels.energy_unknown"), portion
    least = "" if kcal.coverage >= 1 else words("panel.at_least") + " "
    return (
        words("labels.energy", least=least, kcal=words.number(kcal.amount)),
        words("labels.portion", kj=words.number(kj.amount), portion=portion),
    )


def _unknown_rest(label: Label, words: Words) -> str:
    """Said in the place of a list of names when every allergen is not known but those that are named anyway."""
    findings = label.allergens
    states = findings.states
    if not states or Presence.NOT_RECORDED in states.values() or Presence.UNKNOWN not in states.values():
        return ""
    named = any(state is not Presence.UNKNOWN for state in states.values())
    return words("labels.unknown_others" if named else "labels.unknown_all")


def _said(contains: Sequence[str], may: Sequence[str], unknown: Sequence[str], words: Words) -> str:
    """The allergens as one text, for measuring."""
    lists = {"allergens.contains": contains, "allergens.may_contain": may, "allergens.unknown": unknown}
    said = [f"{words(key)}: {', '.join(names)}." for key, names in lists.items() if names]
    return " ".join(said) or words("labels.none")
