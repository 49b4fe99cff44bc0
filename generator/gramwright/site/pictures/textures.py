"""The textures of the energy pieces, as `parts/textures.html` draws them. Takes a piece's key, gives tiles of it."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache

from PIL import Image, ImageDraw

WIDEST = 1200
"""Pixels; no piece is drawn wider."""
UNIT = 8
"""Units of a tile's side."""
_FINE = 4
"""Times larger that a tile is drawn before it is made small, for true edges."""
_STROKE = 1.4
_DOT = 1.2

TINTS: Mapping[str, str] = {
    "protein": "protein",
    "carbohydrate": "carbohydrate",
    "fat": "fat",
    "fibre": "fibre",
    "alcohol": "other",
    "polyols": "other",
    "acids": "other",
    "rest": "other",
}
"""Piece -> tint of the palette."""

_LINES: Mapping[str, tuple[tuple[float, float, float, float], ...]] = {
    "carbohydrate": ((-2, 2, 2, -2), (-2, 10, 10, -2), (6, 10, 10, 6)),
    "fat": ((-1, 2, 9, 2), (-1, 6, 9, 6)),
    "alcohol": ((2, -1, 2, 9), (6, -1, 6, 9)),
    "polyols": ((-2, -2, 10, 10), (-2, 10, 10, -2)),
    "acids": ((-2, 6, 2, 10), (-2, -2, 10, 10), (6, -2, 10, 2)),
    "rest": ((-1, 4, 9, 4), (4, -1, 4, 9)),
}
_DOTS: Mapping[str, tuple[tuple[float, float], ...]] = {"fibre": ((2, 2), (6, 6))}


@lru_cache(maxsize=64)
def _tile(key: str, indices: tuple[int, int], scale: int) -> Image.Image:
    """One tile in a piece's two colours."""
    side = UNIT * scale
    fine = scale * _FINE
    marks = Image.new("L", (side * _FINE, side * _FINE), 0)
    draw = ImageDraw.Draw(marks)
    for line in _LINES.get(key, ()):
        draw.line([at * fine for at in line], fill=255, width=round(_STROKE * fine))
    for x, y in _DOTS.get(key, ()):
        draw.ellipse([(x - _DOT) * fine, (y - _DOT) * fine, (x + _DOT) * fine, (y + _DOT) * fine], fill=255)
    small = marks.resize((side, side), Image.Resampling.BOX)
    return small.point([indices[level >= 128] for level in range(256)])


@lru_cache(maxsize=64)
def _band(key: str, indices: tuple[int, int], scale: int, height: int) -> Image.Image:
    """Tiles over the width of the widest card."""
    tile = _tile(key, indices, scale)
    band = Image.new("L", (WIDEST, height))
    for y in range(0, height, tile.height):
        for x in range(0, WIDEST, tile.width):
            band.paste(tile, (x, y))
    return band


def tiled(key: str, indices: tuple[int, int], scale: int, size: tuple[int, int]) -> Image.Image:
    """A rectangle filled with a piece's tiles."""
    return _band(key, indices, scale, size[1]).crop((0, 0, *size))
