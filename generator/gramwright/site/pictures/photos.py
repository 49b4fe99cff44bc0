"""Photos. Takes a picture file's bytes, gives it in several widths and formats, turned upright and with nothing else.

What a camera writes beside the picture (place, time, owner, device, embedded
previews) is never published: every file is written anew from the pixels alone.
Colours are converted to sRGB. Files are named by their content and by this
program, so that a published one of the same name never has to be made again.
"""

from __future__ import annotations

import base64
import hashlib
import struct
import warnings
import zlib
from collections.abc import Mapping
from functools import lru_cache
from io import BytesIO
from pathlib import Path
from typing import NamedTuple

import PIL
from PIL import Image, ImageCms, ImageOps, features

from gramwright.problems import Trouble

WIDTHS = (480, 960, 1600)
"""Pixels; a photo is never made wider than it is."""
MOST_PIXELS = 80_000_000
"""A picture that unpacks to more is refused: as RGB it would fill 240 MB."""
READ = ("JPEG", "PNG", "WEBP")
ENDINGS = {"avif": "image/avif", "webp": "image/webp", "jpg": "image/jpeg"}
"""What is made, best first, and its media type. AVIF only where Pillow was built with it."""
_SAVE: Mapping[str, tuple[str, Mapping[str, object]]] = {
    "avif": ("AVIF", {"quality": 46, "speed": 7, "max_threads": 1}),
    "webp": ("WEBP", {"quality": 78, "method": 4}),
    "jpg": ("JPEG", {"quality": 82, "optimize": True, "progressive": True}),
}
"""Qualities at which the three differ equally from the original, by the eye and by the mean square."""
_BLUR_WIDTH = 24
_BLUR_QUALITY = 40
_PAPER = (255, 253, 248)
"""What shows through a transparent picture: the theme's sheet."""
_ORIENTATION = 0x0112
_TURNED = range(5, 9)
"""Values of the Exif orientation that lie on their side."""
_DAMAGED = (OSError, SyntaxError, ValueError, EOFError, IndexError, KeyError, TypeError, struct.error, zlib.error)
"""What Pillow raises for damaged files."""


class Photo(NamedTuple):
    """A photo as a page shows it."""

    width: int
    height: int
    """Of the widest version, in pixels."""
    names: tuple[tuple[str, int, str], ...]
    """(file name, width, ending), best format first, narrow ones first."""
    blur: str
    """A tiny version as a data: address; '' when nothing was made."""

    def of(self, ending: str) -> tuple[tuple[str, int], ...]:
        return tuple((name, width) for name, width, its in self.names if its == ending)


class Read(NamedTuple):
    """A picture that was looked at, not yet unpacked."""

    data: bytes
    width: int
    height: int
    """As seen upright."""
    widths: tuple[int, ...]
    digest: str

    @property
    def names(self) -> tuple[tuple[str, int, str], ...]:
        return tuple(
            (f"photo-{width}.{self.digest}.{ending}", width, ending) for ending in _endings() for width in self.widths
        )

    def photo(self, blur: str = "") -> Photo:
        width = self.widths[-1]
        return Photo(width, max(1, round(self.height * width / self.width)), self.names, blur)


@lru_cache(maxsize=1)
def _endings() -> tuple[str, ...]:
    return tuple(ending for ending in ENDINGS if ending != "avif" or features.check("avif"))


@lru_cache(maxsize=1)
def _program() -> bytes:
    return PIL.__version__.encode() + Path(__file__).read_bytes()


def read(data: bytes) -> Read:
    """Looks at a picture's head. Raises Trouble 'photo-damaged', 'photo-too-large'."""
    with _opened(data) as image:
        turned = _orientation(image) in _TURNED
        width, height = image.size[::-1] if turned else image.size
    widths = tuple(dict.fromkeys(min(wanted, width) for wanted in WIDTHS))
    digest = hashlib.blake2b(data + _program(), digest_size=6).hexdigest()
    return Read(data, width, height, widths, digest)


def check(picture: Read) -> None:
    """Unpacks the whole picture and makes nothing of it. Raises Trouble 'photo-damaged'."""
    _upright(picture)


def make(picture: Read) -> dict[str, bytes]:
    """File name -> bytes of every version. Raises Trouble 'photo-damaged'."""
    whole = _upright(picture)
    made: dict[str, bytes] = {}
    sized = {width: _narrowed(whole, width) for width in picture.widths}
    for name, width, ending in picture.names:
        kind, options = _SAVE[ending]
        out = BytesIO()
        sized[width].save(out, kind, **options)
        made[name] = out.getvalue()
    return made


def blur(jpeg: bytes) -> str:
    """A tiny version of a published JPEG as a data: address, to stand in while the photo loads."""
    with Image.open(BytesIO(jpeg), formats=("JPEG",)) as image:
        image.draft("RGB", (_BLUR_WIDTH * 4, _BLUR_WIDTH * 4))
        small = _narrowed(image.convert("RGB"), _BLUR_WIDTH)
    out = BytesIO()
    small.save(out, "WEBP", quality=_BLUR_QUALITY, method=6)
    return "data:image/webp;base64," + base64.b64encode(out.getvalue()).decode()


# ---------------------------------------------------------------- unpacking


def _opened(data: bytes) -> Image.Image:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        try:
            image = Image.open(BytesIO(data), formats=READ)
        except Image.DecompressionBombError as error:
            raise _too_large(str(error)) from error
        except _DAMAGED as error:
            raise _damaged(error) from error
    if image.size[0] * image.size[1] > MOST_PIXELS:
        raise _too_large(f"{image.size[0]} x {image.size[1]} pixels")
    return image


def _too_large(found: str) -> Trouble:
    return Trouble(
        "photo-too-large",
        f"expected a photo of at most {MOST_PIXELS // 1_000_000} million pixels, found {found}",
        f"make it smaller first: {WIDTHS[-1]} pixels across are enough",
    )


def _damaged(error: BaseException) -> Trouble:
    said = " ".join(str(error).split())
    if "cannot identify" in said:
        said = "something else, or one damaged at its start"
    return Trouble(
        "photo-damaged",
        f"expected a JPEG, PNG or WebP picture that can be read, found {said[:120] or 'one that cannot'}",
        "save the picture again as JPEG, or take another",
    )


def _orientation(image: Image.Image) -> int:
    try:
        found = image.getexif().get(_ORIENTATION, 1)
    except _DAMAGED:
        return 1  # a broken note about the picture is no reason to refuse the picture
    return found if isinstance(found, int) else 1


def _upright(picture: Read) -> Image.Image:
    """The picture as RGB in sRGB, turned upright, at least as wide as its widest version, with nothing beside it."""
    with _opened(picture.data) as image, warnings.catch_warnings():
        warnings.simplefilter("ignore")
        try:
            wanted = max(picture.widths[-1], round(picture.widths[-1] * picture.height / picture.width))
            image.draft(image.mode, (wanted, wanted))
            image.load()
            turned = _turned(image)
            flat = _flat(_in_srgb(turned, image.info.get("icc_profile")))
        except (Image.DecompressionBombError, *_DAMAGED) as error:
            raise _damaged(error) from error
    bare = Image.new("RGB", flat.size)
    bare.paste(flat)
    return bare


def _turned(image: Image.Image) -> Image.Image:
    if _orientation(image) == 1:
        return image
    try:
        return ImageOps.exif_transpose(image)
    except _DAMAGED:
        return image


def _in_srgb(image: Image.Image, profile: object) -> Image.Image:
    """Through the picture's own colour profile, where it has one that can be used; else it is taken for sRGB."""
    if image.mode.startswith("I"):
        return image.point(lambda level: level / 256).convert("L")  # 16-bit grey
    if not isinstance(profile, bytes) or image.mode not in ("RGB", "RGBA", "CMYK", "L"):
        return image
    target = "RGBA" if image.mode == "RGBA" else "RGB"
    try:
        own = ImageCms.ImageCmsProfile(BytesIO(profile))
        converted = ImageCms.profileToProfile(image, own, ImageCms.createProfile("sRGB"), outputMode=target)
    except (ImageCms.PyCMSError, *_DAMAGED):
        return image
    return image if converted is None else converted


def _flat(image: Image.Image) -> Image.Image:
    """RGB; what is transparent shows paper."""
    if image.mode in ("RGBA", "LA", "PA", "La", "RGBa") or "transparency" in image.info:
        seen = image.convert("RGBA")
        paper = Image.new("RGBA", seen.size, (*_PAPER, 255))
        return Image.alpha_composite(paper, seen).convert("RGB")
    return image.convert("RGB")


def _narrowed(image: Image.Image, width: int) -> Image.Image:
    if image.width == width:
        return image
    height = max(1, round(image.height * width / image.width))
    return image.resize((width, height), Image.Resampling.LANCZOS, reducing_gap=3.0)
