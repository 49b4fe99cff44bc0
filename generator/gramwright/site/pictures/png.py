"""PNG of sixteen colours. Takes a palette image, gives its bytes (PNG third edition: chunks 5, colour type 3, depth 4).

Pillow's own encoder takes about twice as long for the same drawing. Here blank rows
between texts cost nothing: what they are packed into is known.
"""

from __future__ import annotations

import struct
import zlib
from collections.abc import Iterator, Mapping
from functools import lru_cache

from PIL import Image

SIGNATURE = b"\x89PNG\r\n\x1a\n"
_LEVEL = 6
_MEMORY = 6
_GAP = 16
"""Blank rows from which on a gap is packed on its own."""
_NO_FILTER = b"\0"
_DEPTH, _INDEXED = 4, 3
_ZLIB_HEAD = b"\x78\x9c"
"""RFC 1950: deflate, a window of 32 KiB, the usual level."""
_END = b"\x03\x00"
"""An empty last block (RFC 1951)."""


def encode(image: Image.Image, palette: bytes, texts: Mapping[str, str]) -> bytes:
    """An 'L' image whose values are indices of `palette` (at most sixteen colours); `texts` are tEXt chunks."""
    width, height = image.size
    row = (width + 1) // 2
    _, top, _, bottom = image.getbbox() or (0, 0, 0, 0)
    drawing = image.crop((0, top, width, bottom))
    drawing.putpalette(palette)
    packed = drawing.tobytes("raw", "P;4")
    rows = [packed[start : start + row] for start in range(0, len(packed), row)]
    parts = [(top, b""), *_drawn(rows, bytes(row)), (height - bottom, b"")]
    check, data = 1, [_ZLIB_HEAD]
    for blank, lines in parts:
        check = zlib.adler32(bytes(blank * (row + 1)), check)
        check = zlib.adler32(lines, check)
        data += [_blank(blank * (row + 1)), _packed(lines)]
    data += [_END, struct.pack(">I", check)]
    head = struct.pack(">IIBBBBB", width, height, _DEPTH, _INDEXED, 0, 0, 0)
    notes = [_chunk(b"tEXt", f"{name}\0{text}".encode("latin-1")) for name, text in texts.items()]
    picture = [_chunk(b"PLTE", palette), _chunk(b"IDAT", b"".join(data)), _chunk(b"IEND", b"")]
    return b"".join([SIGNATURE, _chunk(b"IHDR", head), *notes, *picture])


def _drawn(rows: list[bytes], blank: bytes) -> Iterator[tuple[int, bytes]]:
    """Parts of a drawing: so many blank rows, then rows as they stand in the file. Small gaps stay with their part."""
    start, at = 0, 0
    gap = 0
    while at < len(rows):
        if rows[at] != blank:
            at += 1
            continue
        end = at
        while end < len(rows) and rows[end] == blank:
            end += 1
        if end - at >= _GAP:
            yield gap, _lines(rows[start:at])
            gap, start = end - at, end
        at = end
    yield gap, _lines(rows[start:])


def _lines(rows: list[bytes]) -> bytes:
    return b"".join([_NO_FILTER + row for row in rows])


def _packed(data: bytes) -> bytes:
    """Bare deflate blocks (RFC 1951) that end on a byte, so that blocks packed apart can be joined."""
    if not data:
        return b""
    squeeze = zlib.compressobj(_LEVEL, zlib.DEFLATED, -zlib.MAX_WBITS, _MEMORY)
    return squeeze.compress(data) + squeeze.flush(zlib.Z_FULL_FLUSH)


@lru_cache(maxsize=512)
def _blank(count: int) -> bytes:
    """So many zero bytes, packed."""
    return _packed(bytes(count))


def _chunk(kind: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))


def text_of(head: bytes, name: str) -> str:
    """The text of a tEXt chunk among a file's first bytes; '' when it has none."""
    at = len(SIGNATURE)
    while head.startswith(SIGNATURE) and at + 8 <= len(head):
        (length,) = struct.unpack(">I", head[at : at + 4])
        kind, data = head[at + 4 : at + 8], head[at + 8 : at + 8 + length]
        if kind == b"tEXt" and data.startswith(name.encode() + b"\0"):
            return data[len(name) + 1 :].decode("latin-1")
        at += length + 12
    return ""
