"""Photos: nothing but pixels comes out, upright and in sRGB; bombs and damage are refused with a way out."""

from __future__ import annotations

import base64
import random
import struct
import zlib
from io import BytesIO

import pytest
from PIL import Image, ImageCms, PngImagePlugin, features

from gramwright.problems import Trouble
from gramwright.site.pictures import photos

SECRETS = (b"51.5", b"GPS", b"Secret", b"Exif", b"http://ns.adobe", b"photoshop", b"ICC_PROFILE", b"iCCP", b"comment")


def picture(width: int = 2000, height: int = 1000) -> Image.Image:
    """Red to the left of the middle, blue to the right, a grey band on top."""
    image = Image.new("RGB", (width, height), (200, 40, 30))
    image.paste((30, 50, 200), (width // 2, 0, width, height))
    image.paste((120, 120, 120), (0, 0, width, height // 5))
    return image


def secretive(kind: str, orientation: int = 1, size: tuple[int, int] = (2000, 1000)) -> bytes:
    """A picture with a place, an owner, a comment, an XMP packet and a colour profile beside it."""
    exif = Image.Exif()
    exif[0x0112] = orientation
    exif[0x013B] = "Secret Owner"
    exif[0x010F] = "Secret Maker"
    exif.get_ifd(0x8825).update({1: "N", 2: (51.0, 30.0, 15.0), 3: "W", 4: (0.0, 7.0, 30.0)})
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    options: dict[str, object] = {"exif": exif, "icc_profile": profile}
    if kind == "PNG":
        info = PngImagePlugin.PngInfo()
        info.add_text("comment", "Secret comment")
        info.add_itxt("XML:com.adobe.xmp", "<x:xmpmeta>Secret</x:xmpmeta>")
        options["pnginfo"] = info
    else:
        options["xmp"] = b"<x:xmpmeta xmlns:x='http://ns.adobe.com/'>Secret</x:xmpmeta>"
    if kind == "JPEG":
        options["comment"] = b"Secret comment"
    out = BytesIO()
    picture(*size).save(out, kind, **options)
    return out.getvalue()


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_nothing_but_the_pixels_is_published(kind: str) -> None:
    data = secretive(kind)
    assert b"Secret" in data or b"iCCP" in data, "there is something to be lost"
    made = photos.make(photos.read(data))
    for name, content in made.items():
        found = [secret for secret in SECRETS if secret in content]
        assert found == [], f"{name} still holds {found}"
        with Image.open(BytesIO(content)) as image:
            image.load()
            assert dict(image.getexif()) == {}
            assert image.info.get("icc_profile") is None
            assert "xmp" not in image.info
            assert not image.info.get("comment")
            assert not image.info.get("exif")


def test_every_width_in_every_format_and_never_wider_than_the_original() -> None:
    wide = photos.read(secretive("JPEG"))
    endings = ["avif", "webp", "jpg"] if features.check("avif") else ["webp", "jpg"]
    assert [(width, ending) for _, width, ending in wide.names] == [(w, e) for e in endings for w in (480, 960, 1600)]
    for name, content in photos.make(wide).items():
        with Image.open(BytesIO(content)) as image:
            assert image.width == int(name.split("-")[1].split(".")[0])
            assert image.height == image.width // 2
    small = photos.read(secretive("JPEG", size=(300, 200)))
    assert {width for _, width, _ in small.names} == {300}
    middling = photos.read(secretive("PNG", size=(700, 350)))
    assert sorted({width for _, width, _ in middling.names}) == [480, 700]


@pytest.mark.parametrize("orientation", range(1, 9))
def test_photos_stand_upright(orientation: int) -> None:
    """Exif 2.32, tag 0x0112: where row 0 and column 0 of the stored picture are seen."""
    place_of_first = {1: "top left", 2: "top right", 3: "bottom right", 4: "bottom left",
                      5: "top left", 6: "top right", 7: "bottom right", 8: "bottom left"}[orientation]  # fmt: skip
    image = Image.new("RGB", (600, 300), (240, 240, 240))
    image.paste((200, 0, 0), (0, 0, 100, 100))
    exif = Image.Exif()
    exif[0x0112] = orientation
    out = BytesIO()
    image.save(out, "JPEG", exif=exif, quality=95)
    read = photos.read(out.getvalue())
    assert (read.width, read.height) == ((300, 600) if orientation > 4 else (600, 300))
    made = photos.make(read)
    name = next(name for name, width, ending in read.names if ending == "jpg" and width == min(480, read.width))
    with Image.open(BytesIO(made[name])) as seen:
        row, column = place_of_first.split()
        x = 10 if column == "left" else seen.width - 10
        y = 10 if row == "top" else seen.height - 10
        red, green, _ = seen.convert("RGB").getpixel((x, y))  # type: ignore[misc]  # RGB gives three
        assert red > 150 > 90 > green


def test_a_wide_gamut_picture_is_converted() -> None:
    """The same stored numbers mean a stronger red in a profile with a wider red primary than sRGB's."""
    wide = _profile_with_wide_red()
    plain, tagged = BytesIO(), BytesIO()
    image = Image.new("RGB", (300, 200), (180, 60, 60))
    image.save(plain, "PNG")
    image.save(tagged, "PNG", icc_profile=wide)
    colours = []
    for out in (plain, tagged):
        made = photos.make(photos.read(out.getvalue()))
        with Image.open(BytesIO(next(data for name, data in made.items() if name.endswith("jpg")))) as seen:
            colours.append(seen.getpixel((150, 100)))
    assert colours[1][0] > colours[0][0] + 5  # type: ignore[index]  # RGB
    assert abs(colours[0][0] - 180) < 4  # type: ignore[index]  # RGB


def _profile_with_wide_red() -> bytes:
    """sRGB's profile with its red primary (tag rXYZ, ICC.1:2010, 9.2.44) moved outwards by a quarter."""
    data = bytearray(ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes())
    (count,) = struct.unpack(">I", data[128:132])
    for at in range(132, 132 + 12 * count, 12):
        name, offset, _ = struct.unpack(">4sII", data[at : at + 12])
        if name == b"rXYZ":
            x, y, z = struct.unpack(">iii", data[offset + 8 : offset + 20])
            data[offset + 8 : offset + 20] = struct.pack(">iii", int(x * 1.25), int(y * 1.25), z)
    return bytes(data)


def test_print_colours_become_rgb() -> None:
    out = BytesIO()
    picture(600, 300).convert("CMYK").save(out, "JPEG")
    made = photos.make(photos.read(out.getvalue()))
    with Image.open(BytesIO(next(data for name, data in made.items() if name.endswith("jpg")))) as image:
        assert image.mode == "RGB"
        red, _, blue = image.getpixel((50, 150))  # type: ignore[misc]  # RGB gives three
        assert red > blue + 80


def test_a_transparent_picture_shows_paper() -> None:
    image = Image.new("RGBA", (600, 300), (0, 0, 0, 0))
    out = BytesIO()
    image.save(out, "PNG")
    made = photos.make(photos.read(out.getvalue()))
    with Image.open(BytesIO(next(data for name, data in made.items() if name.endswith("jpg")))) as seen:
        assert seen.getpixel((10, 10)) == pytest.approx((255, 253, 248), abs=3)


def test_the_same_picture_gives_the_same_bytes() -> None:
    data = secretive("JPEG", 6)
    assert photos.make(photos.read(data)) == photos.make(photos.read(data))


def test_names_follow_the_content() -> None:
    first, second = photos.read(secretive("JPEG")), photos.read(secretive("JPEG", 3))
    assert not {name for name, _, _ in first.names} & {name for name, _, _ in second.names}


def test_a_tiny_version_stands_in_while_the_photo_loads() -> None:
    read = photos.read(secretive("JPEG"))
    made = photos.make(read)
    address = photos.blur(made[next(name for name, _, ending in read.names if ending == "jpg")])
    kind, _, content = address.partition(";base64,")
    assert kind == "data:image/webp"
    assert len(address) < 700
    with Image.open(BytesIO(base64.b64decode(content))) as image:
        assert image.size == (24, 12)


def test_bombs_are_refused_before_they_unpack() -> None:
    """A PNG of 20,000 x 20,000 pixels, all one value: 50 kB as a file, 1.2 GB as RGB."""
    head = struct.pack(">IIBBBBB", 20000, 20000, 1, 0, 0, 0, 0)
    rows = zlib.compress(bytes(2501) * 200, 9)

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    bomb = b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", rows) + chunk(b"IEND", b"")
    with pytest.raises(Trouble) as found:
        photos.read(bomb)
    assert found.value.code == "photo-too-large"
    assert found.value.hint


@pytest.mark.parametrize("data", [b"", b"GIF89a" + bytes(200), b"not a picture", b"<svg xmlns='x'/>", b"\xff\xd8\xff"])
def test_what_is_no_picture_is_said_to_be_none(data: bytes) -> None:
    with pytest.raises(Trouble) as found:
        photos.read(data)
    assert found.value.code == "photo-damaged"


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_a_picture_that_breaks_off_is_refused(kind: str) -> None:
    data = secretive(kind, size=(800, 600))
    with pytest.raises(Trouble) as found:
        photos.check(photos.read(data[: len(data) * 2 // 3]))
    assert found.value.code == "photo-damaged"


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_damage_anywhere_gives_a_picture_or_a_trouble(kind: str) -> None:
    """Never any other error: 120 copies with random bytes changed, most of them in the first tenth."""
    chance = random.Random(7)
    whole = secretive(kind, 6, (300, 200))
    for _ in range(120):
        data = bytearray(whole)
        for _ in range(chance.randint(1, 12)):
            data[int(len(data) * chance.random() ** 3)] = chance.randrange(256)
        try:
            photos.check(photos.read(bytes(data)))
        except Trouble as trouble:
            assert trouble.code in ("photo-damaged", "photo-too-large")  # noqa: PT017
