"""Type for drawn cards. Takes a text and a size, gives a mask of it; wraps titles; knows which signs a font has.

The fonts come from registry packages under the SIL Open Font License 1.1: EB
Garamond (an old-style serif) and Source Sans 3. A hub in another script puts a
font that has it into `theme/fonts/` (.ttf, .otf).
"""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass, field
from functools import lru_cache
from importlib.resources import files
from pathlib import Path
from typing import NamedTuple

from PIL import Image, ImageDraw, ImageFont

from gramwright.problems import Trouble

SERIF, SANS = "serif", "sans"
_PACKAGED = {
    SERIF: ("fontpkg_eb_garamond", "EBGaramond[wght].ttf"),
    SANS: ("fontpkg_source_sans_3", "SourceSans3[wght].ttf"),
}
_HUB_FONTS = "theme/fonts"
_ENDINGS = (".ttf", ".otf")
_NO_SIGN = "\U0010fffd"
"""A code point for which no font has a sign: shows what a font draws for a missing one."""
_MEASURE = 100
_ELLIPSIS = "…"
_LARGE = 34
"""From this size on, one grey between nothing and full is enough at a letter's edge: it saves a fifth of the file."""
_FEW_EDGES = [0 if level < 64 else 128 if level < 192 else 255 for level in range(256)]


@lru_cache(maxsize=128)
def _open(file: str, size: int, weight: int) -> ImageFont.FreeTypeFont:
    font = ImageFont.truetype(file, size)
    if weight:
        font.set_variation_by_axes([weight])
    return font


@lru_cache(maxsize=4096)
def _has(file: str, sign: str) -> bool:
    font = _open(file, 24, 0)
    mine, missing = font.getmask(sign), font.getmask(_NO_SIGN)
    return mine.size != missing.size or bytes(mine) != bytes(missing)


@lru_cache(maxsize=2048)
def _length(file: str, size: int, weight: int, text: str) -> float:
    return _open(file, size, weight).getlength(text)


@lru_cache(maxsize=2048)
def _mask(file: str, size: int, weight: int, text: str) -> tuple[Image.Image, int, int]:
    """A text's mask, and where it lies from the start of its baseline."""
    font = _open(file, size, weight)
    left, top, right, bottom = (round(edge) for edge in font.getbbox(text, anchor="ls"))
    image = Image.new("L", (max(right - left, 1), max(bottom - top, 1)))
    ImageDraw.Draw(image).text((-left, -top), text, fill=255, font=font, anchor="ls")
    return image.point(_FEW_EDGES) if size >= _LARGE else image, left, top


class Type(NamedTuple):
    """One text set in one font and size."""

    file: str
    size: int
    weight: int
    text: str

    @property
    def width(self) -> float:
        return _length(self.file, self.size, self.weight, self.text)

    def mask(self) -> tuple[Image.Image, int, int]:
        return _mask(self.file, self.size, self.weight, self.text)


@dataclass(frozen=True, slots=True)
class Fonts:
    """The fonts of one hub."""

    own: tuple[str, ...] = ()
    """Font files of the hub."""
    _files: dict[str, str] = field(default_factory=dict)

    @classmethod
    def of(cls, hub_root: Path | None) -> Fonts:
        """Raises Trouble 'theme-font' when a file of the hub is no font."""
        packaged = {name: str(files(package) / "files" / file) for name, (package, file) in _PACKAGED.items()}
        folder = None if hub_root is None else hub_root / _HUB_FONTS
        if folder is None or not folder.is_dir():
            return cls((), packaged)
        own = [path for path in sorted(folder.iterdir()) if path.suffix.lower() in _ENDINGS]
        for path in own:
            try:
                ImageFont.truetype(path, 24)
            except OSError as error:
                raise Trouble(
                    "theme-font",
                    f"expected a TrueType or OpenType font in {_HUB_FONTS}/{path.name}, found something else ({error})",
                    "put the font there again, or remove the file",
                ) from error
        return cls(tuple(map(str, own)), packaged)

    def set(self, text: str, size: int, family: str = SANS, weight: int = 400) -> Type:
        """A text in the family's font, or in the hub's first own font that has all its signs."""
        main = self._files[family]
        text = self.plain(text)
        if all(_has(main, sign) for sign in text if not sign.isspace()):
            text = "".join(" " if sign.isspace() and not _has(main, sign) else sign for sign in text)
            return Type(main, size, weight, text)
        for own in self.own:
            if all(_has(own, sign) for sign in text if not sign.isspace()):
                return Type(own, size, 0, text)
        return Type(main, size, weight, text)

    def missing(self, text: str, family: str = SERIF) -> str:
        """The letters and digits of a text that can't be drawn, each once; '' when it can."""
        letters = [sign for sign in dict.fromkeys(self.plain(text)) if not sign.isspace()]
        best = [sign for sign in letters if not _has(self._files[family], sign)]
        for own in self.own:
            best = min(best, [sign for sign in letters if not _has(own, sign)], key=len)
        return "".join(best)

    def plain(self, text: str) -> str:
        """A text without signs that are no part of its words and that no font here has: emoji, joiners, controls."""
        if text.isascii():
            return text
        kept = "".join(
            sign if not self._dispensable(sign) else " " if unicodedata.category(sign) == "So" else "" for sign in text
        )
        return kept if kept == text else " ".join(kept.split())

    def _dispensable(self, sign: str) -> bool:
        kind = unicodedata.category(sign)
        if kind in ("Cc", "Cf", "Cs", "Co", "Cn"):
            return True
        strange = kind in ("So", "Sk", "Me") or "\ufe00" <= sign <= "\ufe0f"
        return strange and not any(_has(file, sign) for file in (*self._files.values(), *self.own))


class Lines(NamedTuple):
    """A text broken into lines of one size."""

    lines: tuple[Type, ...]
    size: int


def wrapped(fonts: Fonts, text: str, width: float, sizes: tuple[tuple[int, int], ...], weight: int) -> Lines:
    """A title in the first (size, most lines) that holds it, its lines about equally long.

    What even the last size cannot hold ends in an ellipsis.
    """
    measured = fonts.set(text, _MEASURE, SERIF, weight)
    font = _open(measured.file, _MEASURE, measured.weight)
    pieces = [(word, font.getlength(word)) for word in measured.text.split()]
    space = font.getlength(" ")
    for size, most in sizes:
        room = width * _MEASURE / size
        if max((length for _, length in pieces), default=0.0) > room:
            continue
        lines = _broken(pieces, space, room)
        if len(lines) <= most:
            return _set(fonts, _balanced(pieces, space, room, len(lines)), size, weight)
    size, most = sizes[-1]
    room = width * _MEASURE / size
    lines = _broken([part for piece in pieces for part in _parts(piece, room, font)], space, room)
    if len(lines) > most:
        last = lines[most - 1]
        while last and font.getlength(last + _ELLIPSIS) > room:
            last = last[:-1]
        lines = [*lines[: most - 1], last.rstrip() + _ELLIPSIS]
    return _set(fonts, lines, size, weight)


def _set(fonts: Fonts, lines: list[str], size: int, weight: int) -> Lines:
    return Lines(tuple(fonts.set(line, size, SERIF, weight) for line in lines), size)


def _broken(pieces: list[tuple[str, float]], space: float, room: float) -> list[str]:
    lines: list[str] = []
    used = 0.0
    for word, length in pieces:
        if lines and used + space + length <= room:
            lines[-1] += f" {word}"
            used += space + length
        else:
            lines.append(word)
            used = length
    return lines


def _balanced(pieces: list[tuple[str, float]], space: float, room: float, count: int) -> list[str]:
    """The same number of lines in the least width that gives it."""
    low, high = room / 2, room
    for _ in range(6):
        middle = (low + high) / 2
        widest = max((length for _, length in pieces), default=0.0)
        if widest <= middle and len(_broken(pieces, space, middle)) <= count:
            high = middle
        else:
            low = middle
    return _broken(pieces, space, high)


def _parts(piece: tuple[str, float], room: float, font: ImageFont.FreeTypeFont) -> list[tuple[str, float]]:
    """A word that is wider than the line, cut into parts that are not."""
    word, length = piece
    if length <= room:
        return [piece]
    parts: list[tuple[str, float]] = []
    start = 0
    for end in range(1, len(word) + 1):
        if font.getlength(word[start:end]) > room and end - 1 > start:
            parts.append((word[start : end - 1], room))
            start = end - 1
    return [*parts, (word[start:], font.getlength(word[start:]))]
