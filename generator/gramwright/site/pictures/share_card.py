"""Share cards: a recipe's panel as a picture. Takes a dish and its label, gives PNG bytes.

Two shapes: 1200 x 630 for links (the size that OpenGraph previews are cut
to; common practice, no source), and 1080 x 1920 upright, whose top and bottom
fifth hold no figures, since players lay their controls there. Texts and
figures are those of the recipe's page, the geometry is the panel's.
"""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import replace
from typing import NamedTuple

from gramwright.model import Dish, Label
from gramwright.site import panel_view
from gramwright.site.panel import Cut, Panel, draw
from gramwright.site.pictures import png
from gramwright.site.pictures.easel import KEY, Brush, Easel
from gramwright.site.pictures.fonts import SERIF, wrapped
from gramwright.site.pictures.palette import HAIR, INK, SOFT, TICK
from gramwright.site.words import Words

WIDE, TALL = "card", "card-tall"
SIZES = {WIDE: (1200, 630), TALL: (1080, 1920)}
"""File name without .png -> pixels."""
TOLD = 0.01
"""Pieces with a smaller share of the energy are drawn, but named on the page only."""
HEAD_BYTES = 512
"""Enough of a card to find its key."""


class Legend(NamedTuple):
    """What is said of one piece of the portion."""

    key: str
    name: str
    grams: str


class Face(NamedTuple):
    """All that a card shows."""

    title: str
    site: str
    energy: str
    """'' when it is not known."""
    least: str
    """'at least', or ''."""
    beside: tuple[str, ...]
    """What stands beside the figure: kilojoules, the portion's weight."""
    likely: str
    unknown: str
    """What stands in the figure's place when the energy is not known."""
    panel: Panel
    """Its strip without names: what a card does not say is no reason to draw it anew."""
    numbers: tuple[tuple[float, str], ...]
    legend: tuple[Legend, ...]


def face(easel: Easel, dish: Dish, label: Label, words: Words, site: str) -> Face:
    """Takes a dish and its label, gives what its card shows. `site` is the hub's title."""
    view = panel_view.view(dish, label, words, "")
    panel = draw(dish, label)
    title = dish.page.title
    if easel.fonts.missing(title):
        title = dish.page.slug.replace("-", " ").capitalize()
    portion = words("panel.of", grams=view.portion) if view.portion else words("panel.portion")
    return Face(
        title=title,
        site="" if easel.fonts.missing(site) else site,
        energy=view.energy,
        least=words("panel.at_least") if view.at_least else "",
        beside=(view.energy_kj, portion) if view.energy_kj else (portion,),
        likely=view.likely,
        unknown="" if view.known else words("panel.unknown"),
        panel=replace(panel, strip=tuple(replace(cut, key="", name="", grams=None) for cut in panel.strip)),
        numbers=tuple((panel.ruling.at(kcal), words.number(kcal)) for kcal in panel.ruling.numbered),
        legend=tuple(
            Legend(piece.fill, piece.name, piece.grams)
            for piece, cut in zip(view.pieces, panel.pieces, strict=True)
            if cut.share >= TOLD
        ),
    )


def key(easel: Easel, shown: Face) -> str:
    """One digest of what a card shows and how it is drawn."""
    return hashlib.blake2b(f"{easel.fingerprint}{shown!r}".encode(), digest_size=16).hexdigest()


def key_of(head: bytes) -> str:
    """The key that a drawn card carries, from its first bytes; '' when there is none."""
    return png.text_of(head[:HEAD_BYTES], KEY)


def paint(easel: Easel, shown: Face, shape: str) -> bytes:
    """The card as PNG. `shape` is WIDE or TALL."""
    brush = Brush(easel, SIZES[shape])
    if shape == WIDE:
        _wide(brush, shown)
    else:
        _tall(brush, shown)
    return brush.png(key(easel, shown))


# ---------------------------------------------------------------- the two shapes


def _wide(brush: Brush, shown: Face) -> None:
    fonts = brush.easel.fonts
    left, width = 64, 1072
    brush.text(left, 70, fonts.set(shown.site, 26), SOFT)
    brush.box(left, 88, width, 1, HAIR)
    lines = wrapped(fonts, shown.title, width, ((80, 1), (66, 1), (60, 2), (50, 3), (42, 3)), 500)
    y = 106 + round(lines.size * 0.8)
    for line in lines.lines:
        brush.text(left, y, line, INK)
        y += round(lines.size * 1.06)
    if shown.unknown:
        brush.text(left, 420, fonts.set(shown.unknown, 30), SOFT)
        return
    end = _figure(brush, shown, left, 388, 148, 40)
    _beside(brush, shown, (left + width, end), (346, 388), 28)
    rule = Rule(left, 412, width, pieces=54, strip=14, number=24, texture=2, line=2)
    _rule(brush, shown, rule)
    _legend_in_line(brush, shown.legend, left, 590, width)


def _tall(brush: Brush, shown: Face) -> None:
    fonts = brush.easel.fonts
    left, width = 84, 912
    brush.text(left, 300, fonts.set(shown.site, 38), SOFT)
    brush.box(left, 328, width, 2, HAIR)
    lines = wrapped(fonts, shown.title, width, ((104, 2), (84, 3), (60, 4), (40, 3)), 500)
    y = 366 + round(lines.size * 0.86)
    for line in lines.lines:
        brush.text(left, y, line, INK)
        y += round(lines.size * 1.06)
    if shown.unknown:
        unknown = wrapped(fonts, shown.unknown, width, ((52, 4),), 400)
        for at, line in enumerate(unknown.lines):
            brush.text(left, 980 + 62 * at, line, SOFT)
        return
    _figure(brush, shown, left, 1000, 248, 64)
    brush.text(left, 1072, fonts.set("   ·   ".join(shown.beside), 38), SOFT)
    if shown.likely:
        brush.text(left, 1124, fonts.set(shown.likely, 38), SOFT)
    rule = Rule(left, 1164, width, pieces=92, strip=24, number=32, texture=3, line=3)
    below = _rule(brush, shown, rule) + 78
    for piece in shown.legend[:5]:
        brush.textured(left, below - 34, 44, 40, piece.key, 3)
        brush.text(left + 68, below, fonts.set(piece.name, 42), INK)
        brush.text(left + width, below, fonts.set(piece.grams, 42, weight=600), INK, "end")
        below += 64


# ---------------------------------------------------------------- the panel


class Rule(NamedTuple):
    """Where the rule is drawn and how large: the top left of its bracket, its length, the heights of its parts."""

    x: int
    y: int
    width: int
    pieces: int
    strip: int
    number: int
    """Size of its numbers."""
    texture: int
    line: int
    """Pixels of a line."""

    def at(self, share: float) -> int:
        return self.x + round(share * self.width)


def _figure(brush: Brush, shown: Face, x: float, y: float, size: int, unit: int) -> float:
    """The energy, its unit small beside it. Gives where it ends."""
    fonts = brush.easel.fonts
    if shown.least:
        x = brush.run(x, y, fonts.set(shown.least, unit, SERIF), INK) + unit * 0.3
    x = brush.run(x - size * 0.04, y, fonts.set(shown.energy, size, SERIF, 500), INK)
    return brush.run(x + unit * 0.35, y, fonts.set("kcal", unit, SERIF), INK)


def _beside(brush: Brush, shown: Face, ends: tuple[float, float], baselines: tuple[float, float], size: int) -> None:
    """Kilojoules and portion on one line, the likely range under it, both ending at the right."""
    fonts = brush.easel.fonts
    lines = ["  ·  ".join(shown.beside), *([shown.likely] if shown.likely else [])]
    right, left = ends
    room = right - left - size
    for text, y in zip(lines, baselines[-len(lines) :], strict=True):
        what = fonts.set(text, size)
        if what.width > room:
            what = fonts.set(text, max(16, int(size * room / what.width)))
        brush.text(right, y, what, SOFT, "end")


def _rule(brush: Brush, shown: Face, rule: Rule) -> float:
    """Bracket, portion, strip, edge, ticks and numbers. Gives the baseline of the numbers."""
    panel, line = shown.panel, rule.line
    y = rule.y
    if panel.spread:
        low, high = rule.at(panel.ruling.at(panel.low)), rule.at(panel.ruling.at(panel.high))
        brush.box(low, y, high - low + line, line, INK)
        brush.box(low, y, line, 6 * line, INK)
        brush.box(high, y, line, 6 * line, INK)
    y += 8 * line
    for cut, (left, right) in _spans(panel.pieces, rule):
        name = cut.key if cut.key in panel_view.PIECE_KEYS else "rest"
        brush.textured(left, y, right - left, rule.pieces, name, rule.texture)
    y += rule.pieces + line
    shades = brush.easel.palette.shades
    for number, (_, (left, right)) in enumerate(_spans(panel.strip, rule)):
        brush.box(left, y, right - left, rule.strip, shades[min(number, len(shades) - 1)])
    y += rule.strip + 2 * line
    brush.box(rule.x, y, rule.width + line, line, INK)
    for place, rank in panel.ruling.ticks:
        brush.box(rule.at(place), y, line, (4, 6, 9)[rank - 1] * line, INK if rank == 3 else TICK)
    y += 9 * line + round(rule.number * 1.08)
    last = len(shown.numbers) - 1
    for number, (place, text) in enumerate(shown.numbers):
        align = "start" if number == 0 else "end" if number == last else "middle"
        brush.text(rule.at(place) + line / 2, y, brush.easel.fonts.set(text, rule.number), SOFT, align)
    return y


def _spans(cuts: Sequence[Cut], rule: Rule) -> list[tuple[Cut, tuple[int, int]]]:
    """Every piece with the pixels it covers: a line of the sheet between one and the next."""
    spans = []
    for at, cut in enumerate(cuts):
        right = rule.at(cut.end) - (rule.line if at < len(cuts) - 1 else 0)
        spans.append((cut, (rule.at(cut.start), right)))
    return spans


def _legend_in_line(brush: Brush, legend: Sequence[Legend], x: float, y: float, width: float) -> None:
    """Swatch, name and grams of each piece in one line, set smaller where it is too long."""
    fonts = brush.easel.fonts
    size, swatch, apart = 30, 24, 36
    while size > 18:
        sets = [(fonts.set(piece.name, size), fonts.set(piece.grams, size, weight=600)) for piece in legend]
        needed = sum(name.width + grams.width + swatch + 20 for name, grams in sets) + apart * (len(sets) - 1)
        if needed <= width:
            break
        size -= 2
    for piece in legend:
        brush.textured(x, y - 22, swatch, swatch, piece.key, 2)
        x = brush.run(x + swatch + 10, y, fonts.set(piece.name, size), INK)
        x = brush.run(x + 10, y, fonts.set(piece.grams, size, weight=600), INK) + apart
