"""Share cards: valid PNGs within their size, with the panel's geometry, the same bytes each time, keyed by content."""

from __future__ import annotations

import struct
import zlib
from dataclasses import replace
from io import BytesIO
from pathlib import Path

import pytest
from PIL import Image
from tests.site import sample

from gramwright.model import Dish, Figure, Label
from gramwright.problems import Trouble
from gramwright.site import words
from gramwright.site.pictures import png, share_card
from gramwright.site.pictures.easel import Easel
from gramwright.site.pictures.fonts import SERIF
from gramwright.site.pictures.palette import INK, SOFT, TINTS

WORDS = words.load("en", None)
MOST_BYTES = 20_000
TITLES = (
    "Barley and squash tray",
    "Six",
    "A very long name for a dish that somebody wrote without stopping to think about who would read it on a small "
    "card, with barley, squash, beetroot, mackerel, quark, dill, pepper, salt, stock and 12 eggs",
    "Donaudampfschifffahrtsgesellschaftskapitänsmützenauflaufmitkirschenundsahne" * 2,
    "Oats 🥣 with plums 🍑",
    "Щи, борщ и ψάρι",
    "漢字のタイトル",
    "مجدرة",
    "<b>&amp; \u200b\u2066odd\u2069</b>",
    "\U0001f963",
)


@pytest.fixture(scope="module")
def easel() -> Easel:
    return Easel()


def face(easel: Easel, dish: Dish | None = None, label: Label | None = None) -> share_card.Face:
    shown = dish or sample.dish()
    return share_card.face(easel, shown, label or sample.label(shown), WORDS, sample.SETTINGS.title)


def opened(data: bytes) -> Image.Image:
    image = Image.open(BytesIO(data))
    image.load()
    return image


@pytest.mark.parametrize("shape", [share_card.WIDE, share_card.TALL])
def test_a_card_is_a_small_png_of_its_size(easel: Easel, shape: str) -> None:
    data = share_card.paint(easel, face(easel), shape)
    assert opened(data).size == share_card.SIZES[shape]
    assert opened(data).mode == "P"
    assert len(data) <= MOST_BYTES


@pytest.mark.parametrize("shape", [share_card.WIDE, share_card.TALL])
@pytest.mark.parametrize("title", TITLES)
def test_any_title_can_be_drawn(easel: Easel, title: str, shape: str) -> None:
    data = share_card.paint(easel, face(easel, sample.dish(title=title)), shape)
    assert opened(data).size == share_card.SIZES[shape]
    assert len(data) <= MOST_BYTES


def test_a_script_without_a_font_gives_the_slug(easel: Easel) -> None:
    assert easel.fonts.missing("漢字 tray") == "漢字"
    assert face(easel, sample.dish(title="漢字のタイトル")).title == "Barley squash tray"
    assert face(easel, sample.dish(title="Żółć, řízek, Щи, ψάρι")).title == "Żółć, řízek, Щи, ψάρι"
    assert easel.fonts.set("choco\u00adlate", 40, SERIF).text == "chocolate"
    assert easel.fonts.set("Oats 🥣 with plums", 40, SERIF).text == "Oats with plums"


def test_chunks_are_as_the_standard_wants_them(easel: Easel) -> None:
    """PNG third edition, 5.3 (chunk layout, CRC) and 11.2.2 (depth 4 with colour type 3)."""
    data = share_card.paint(easel, face(easel), share_card.WIDE)
    assert data.startswith(png.SIGNATURE)
    at, kinds, packed = 8, [], b""
    while at < len(data):
        (length,) = struct.unpack(">I", data[at : at + 4])
        kind, content = data[at + 4 : at + 8], data[at + 8 : at + 8 + length]
        assert struct.unpack(">I", data[at + 8 + length : at + 12 + length])[0] == zlib.crc32(kind + content)
        kinds.append(kind)
        if kind == b"IHDR":
            assert content == struct.pack(">IIBBBBB", 1200, 630, 4, 3, 0, 0, 0)
        packed += content if kind == b"IDAT" else b""
        at += length + 12
    assert kinds == [b"IHDR", b"tEXt", b"PLTE", b"IDAT", b"IEND"]
    assert len(zlib.decompress(packed)) == 630 * (1 + 600)


@pytest.mark.parametrize(("width", "height"), [(1, 1), (7, 40), (33, 3), (64, 200)])
def test_the_encoder_gives_back_what_it_was_given(width: int, height: int) -> None:
    """Against Pillow's own decoder; blank rows above, between and below."""
    palette = bytes(range(48))
    for blank in (range(0), range(height // 3, height // 3 + 25), range(height)):
        image = Image.new("L", (width, height), 0)
        image.putdata([0 if i // width in blank else (i * 7 + i // 5) % 16 for i in range(width * height)])
        back = opened(png.encode(image, palette, {"Name": "text"}))
        assert back.size == image.size
        assert list(back.tobytes()) == list(image.tobytes())
        assert back.info["Name"] == "text"


def test_the_same_recipe_gives_the_same_bytes(easel: Easel) -> None:
    for shape in share_card.SIZES:
        assert share_card.paint(easel, face(easel), shape) == share_card.paint(Easel(), face(Easel()), shape)


def test_the_key_follows_what_is_shown_and_nothing_else(easel: Easel) -> None:
    first = face(easel)
    data = share_card.paint(easel, first, share_card.TALL)
    assert share_card.key_of(data[: share_card.HEAD_BYTES]) == share_card.key(easel, first)
    same = face(easel, sample.dish(intro="Other words.", method="1. Other.\n", summary="Other.", tags=("other",)))
    assert share_card.key(easel, same) == share_card.key(easel, first)
    dish, label = sample.dish(), sample.label()
    kcal = label.per_portion["ENERC_kcal"]
    more = replace(
        label, per_portion={**label.per_portion, "ENERC_kcal": Figure(kcal.amount + 1, kcal.low, kcal.high, 1.0)}
    )
    others = [
        face(easel, sample.dish(title="Another")),
        face(easel, dish, more),
        share_card.face(easel, dish, label, WORDS, "Another hub"),
    ]
    keys = {share_card.key(easel, other) for other in (first, *others)}
    assert len(keys) == 4


@pytest.mark.parametrize("data", [b"", b"\x89PNG\r\n\x1a\n", b"\x89PNG\r\n\x1a\n\xff\xff\xff\xffIHDR", b"GIF89a" * 90])
def test_other_files_have_no_key(data: bytes) -> None:
    assert share_card.key_of(data) == ""


def test_the_portion_ends_where_its_energy_lies(easel: Easel) -> None:
    """The geometry is the panel's: the coloured pieces end at energy / end of the rule."""
    shown = face(easel)
    data = share_card.paint(easel, shown, share_card.WIDE)
    image = opened(data)
    pieces = set(range(INK + 1, INK + 1 + 2 * len(TINTS) - 1))
    row = [image.getpixel((x, 460)) in pieces for x in range(1200)]
    first, last = row.index(True), len(row) - row[::-1].index(True)
    assert shown.panel.energy is not None
    assert first == 64
    assert (last - first) / 1072 == pytest.approx(shown.panel.energy / shown.panel.ruling.end, abs=0.002)


def test_figures_are_those_of_the_page(easel: Easel) -> None:
    label = sample.label()
    shown = face(easel)
    assert shown.energy == WORDS.number(label.per_portion["ENERC_kcal"].amount)
    assert {part.name: part.grams for part in shown.legend} == {
        WORDS(f"pieces.{part.key}"): WORDS.grams(part.grams) for part in label.energy_parts
    }


def test_at_least_is_said_and_unknown_draws_no_rule(easel: Easel) -> None:
    dish, label = sample.dish(), sample.label()
    full = label.per_portion["ENERC_kcal"]
    kcal = Figure(full.amount, full.low, full.high, 0.9)
    assert face(easel, dish, replace(label, per_portion={**label.per_portion, "ENERC_kcal": kcal})).least == "at least"
    known = {tag: figure for tag, figure in label.per_portion.items() if not tag.startswith("ENERC")}
    nothing = face(easel, dish, replace(label, per_portion=known))
    assert nothing.unknown
    assert not nothing.legend
    for shape in share_card.SIZES:
        assert len(share_card.paint(easel, nothing, shape)) < 10_000


def test_text_and_pieces_can_be_told_from_the_sheet(easel: Easel) -> None:
    """WCAG 2.2, 1.4.3 (text 4.5:1) and 1.4.11 (graphics 3:1), contrast as defined there."""
    colours = [tuple(easel.palette.data[at : at + 3]) for at in range(0, len(easel.palette.data), 3)]
    assert len(colours) <= 16

    def luminance(colour: tuple[int, ...]) -> float:
        parts = [c / 255 / 12.92 if c / 255 <= 0.04045 else ((c / 255 + 0.055) / 1.055) ** 2.4 for c in colour]
        return 0.2126 * parts[0] + 0.7152 * parts[1] + 0.0722 * parts[2]

    def contrast(index: int) -> float:
        return (luminance(colours[0]) + 0.05) / (luminance(colours[index]) + 0.05)

    assert contrast(INK) >= 4.5
    assert contrast(SOFT) >= 4.5
    for index in [piece for piece, _ in easel.palette.tints.values()] + list(easel.palette.shades):
        assert contrast(index) >= 3, colours[index]


def test_a_hub_has_its_own_colours_and_fonts(tmp_path: Path, easel: Easel) -> None:
    style = tmp_path / "theme" / "style"
    style.mkdir(parents=True)
    (style / "tokens.css").write_text(":root { --sheet: #ffffff; --ink: #101010; }\n", encoding="utf-8")
    own = Easel(tmp_path)
    assert own.palette.data[:3] == b"\xff\xff\xff"
    assert own.fingerprint != easel.fingerprint
    fonts = tmp_path / "theme" / "fonts"
    fonts.mkdir()
    (fonts / "broken.ttf").write_bytes(b"no font")
    with pytest.raises(Trouble) as found:
        Easel(tmp_path)
    assert found.value.code == "theme-font"
    assert "broken.ttf" in found.value.message
