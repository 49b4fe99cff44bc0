"""What cards are drawn with. Takes a hub's folder, gives its fonts and palette, and a brush on a blank card."""

from __future__ import annotations

import hashlib
from functools import lru_cache
from pathlib import Path

import PIL
from PIL import Image, ImageDraw

from gramwright.site.pictures import palette, png, textures
from gramwright.site.pictures.fonts import Fonts, Type
from gramwright.site.pictures.palette import Palette

KEY = "Content-Key"
"""Keyword of the PNG text chunk that holds the digest of what a card shows."""


class Easel:
    """Fonts and palette of one hub; holds no state of any card."""

    def __init__(self, hub_root: Path | None = None) -> None:
        """Raises Trouble 'theme-file' when the theme's tokens are missing, 'theme-font' for a broken font."""
        self.palette: Palette = palette.load(hub_root)
        self.fonts = Fonts.of(hub_root)
        mark = hashlib.blake2b(self.palette.data, digest_size=16)
        mark.update(_program().encode())
        for file in self.fonts.own:
            mark.update(Path(file).read_bytes())
        self.fingerprint = mark.hexdigest()
        """Changes when the same card would be drawn another way."""


@lru_cache(maxsize=1)
def _program() -> str:
    """A digest of everything here that decides how a card looks."""
    here = Path(__file__).resolve().parent
    digest = hashlib.blake2b(PIL.__version__.encode(), digest_size=16)
    for path in (*sorted(here.glob("*.py")), here.parent / "panel.py"):
        digest.update(path.read_bytes())
    return digest.hexdigest()


class Brush:
    """A card under way: lengths in pixels, colours as palette indices."""

    def __init__(self, easel: Easel, size: tuple[int, int]) -> None:
        self.easel = easel
        self.image = Image.new("L", size, 0)
        self._draw = ImageDraw.Draw(self.image)

    def text(self, x: float, y: float, what: Type, ink: int, align: str = "start") -> None:
        """Writes on the baseline y; 'start', 'middle' or 'end' of the text lies at x."""
        width = what.width if align != "start" else 0.0
        left = x - {"start": 0.0, "middle": width / 2, "end": width}[align]
        mask, dx, dy = what.mask()
        self.image.paste(ink, (round(left) + dx, round(y) + dy), mask)

    def run(self, x: float, y: float, what: Type, ink: int) -> float:
        """Writes from x on; gives the x of the text's end."""
        self.text(x, y, what, ink)
        return x + what.width

    def box(self, x: float, y: float, width: float, height: float, index: int) -> None:
        """A plain rectangle, on whole pixels."""
        if round(width) >= 1 and round(height) >= 1:
            left, top = round(x), round(y)
            self._draw.rectangle((left, top, left + round(width) - 1, top + round(height) - 1), fill=index)

    def textured(self, x: float, y: float, width: float, height: float, key: str, scale: int) -> None:
        """A rectangle in a piece's colour and texture; `scale`: pixels of one unit of the theme's texture."""
        size = (round(width), round(height))
        if min(size) >= 1:
            indices = self.easel.palette.tints[textures.TINTS[key]]
            self.image.paste(textures.tiled(key, indices, scale, size), (round(x), round(y)))

    def png(self, key: str) -> bytes:
        """The finished card, with the key of what it shows."""
        return png.encode(self.image, self.easel.palette.data, {KEY: key})
