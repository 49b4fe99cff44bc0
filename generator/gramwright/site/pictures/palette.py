"""The sixteen colours of a drawn card. Takes the theme's tokens.css, gives a PNG palette and where each colour lies.

Sixteen, since four bits a pixel are written and read in half the time of eight,
and make half the file. A card is drawn in palette indices: 0 is the sheet, INK
the ink, and those between are a ramp from one to the other, so that the grey
edges of letters come out as steps on it. Above them, each energy piece has a
colour, the marks of its texture another, and the ingredient strip two shades
that are no step of the ramp.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path
from typing import NamedTuple

from gramwright.resources import themes
from gramwright.site import assets

INK = 4
SOFT = 3
"""Soft text: the step of the ramp nearest to --soft, with its contrast (6:1)."""
TICK = 2
HAIR = 1
MARK = 0.55
"""How far the marks of a texture go towards the sheet, as in panel.css."""

TINTS = ("protein", "carbohydrate", "fat", "fibre", "other")
PLAIN = "protein"
"""The tint whose pieces have no marks."""
_SHADES = (1.0, 0.875, 0.75, 0.625, 0.5, 0.5)
"""The ingredient strip, from the ink towards the sheet; the last ones keep 3:1 against it (WCAG 2.2, 1.4.11)."""
_TOKEN = re.compile(r"--([a-z0-9-]+):\s*(#[0-9a-fA-F]{6});")
_STYLE = "style/tokens.css"

Colour = tuple[int, int, int]


class Palette(NamedTuple):
    data: bytes
    """Red, green, blue of every colour."""
    tints: Mapping[str, tuple[int, int]]
    """Tint -> (index of a piece, index of its marks)."""
    shades: tuple[int, ...]
    """Indices of the ingredient strip, darkest first."""


def load(hub_root: Path | None) -> Palette:
    """The palette of a hub: its own tokens.css where it has one. Colours are those of the light scheme."""
    tokens = _tokens(themes() / assets.BUILT_IN / _STYLE) | _tokens(assets.find(_STYLE, hub_root))
    sheet, ink = tokens["sheet"], tokens["ink"]
    colours = [_between(sheet, ink, step / INK) for step in range(INK + 1)]

    def index_of(colour: Colour) -> int:
        colours.append(colour)
        return len(colours) - 1

    tints: dict[str, tuple[int, int]] = {}
    for name in TINTS:
        piece = index_of(tokens[name])
        tints[name] = (piece, piece if name == PLAIN else index_of(_between(tokens[name], sheet, MARK)))
    between = {share: index_of(_between(sheet, ink, share)) for share in _SHADES if share * INK % 1}
    shades = tuple(between.get(share, round(share * INK)) for share in _SHADES)
    return Palette(bytes(part for colour in colours for part in colour), tints, shades)


def _tokens(path: Path) -> dict[str, Colour]:
    """Token -> colour, the first one of each name (the light scheme's); only colours written as six digits."""
    found: dict[str, Colour] = {}
    for name, colour in _TOKEN.findall(path.read_text(encoding="utf-8")):
        found.setdefault(name, (int(colour[1:3], 16), int(colour[3:5], 16), int(colour[5:7], 16)))
    return found


def _between(first: Colour, second: Colour, share: float) -> Colour:
    red, green, blue = (round(a + (b - a) * share) for a, b in zip(first, second, strict=True))
    return red, green, blue
