"""Pictures in a publish: made once, kept while they hold, made anew when what they show changes."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path

import pytest
from PIL import Image
from tests.publishing.hub_make import Hub, Run

from gramwright.site.pictures import photos, share_card

CARDS = ("recipes/porridge/card.png", "recipes/porridge/card-tall.png")
PHOTO_LINE = 4


def picture(colour: tuple[int, int, int] = (180, 90, 40), size: tuple[int, int] = (700, 400)) -> bytes:
    out = BytesIO()
    Image.new("RGB", size, colour).save(out, "JPEG")
    return out.getvalue()


def with_photo(hub: Hub, name: str = "photos/bowl.jpg") -> None:
    hub.edit("recipes/porridge.md", "portions: 2\n", f"photo: {name}\nphoto_alt: A blue bowl\nportions: 2\n")


def photo_files(hub: Hub) -> dict[str, bytes]:
    return {path: data for path, data in hub.published().items() if "/photo-" in path}


@pytest.fixture
def painted(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The cards and photos that were made, in order."""
    made: list[str] = []
    paint, make = share_card.paint, photos.make

    def painting(easel: object, face: share_card.Face, shape: str) -> bytes:
        made.append(f"{face.title}: {shape}")
        return paint(easel, face, shape)  # type: ignore[arg-type]  # as given

    def making(read: photos.Read) -> dict[str, bytes]:
        made.append("photo")
        return make(read)

    monkeypatch.setattr(share_card, "paint", painting)
    monkeypatch.setattr(photos, "make", making)
    return made


def test_every_recipe_gets_its_cards_and_its_page_names_one(hub: Hub, run: Run) -> None:
    run("publish", hub.root)
    site = hub.published()
    for slug in ("porridge", "fruit-bowl"):
        for shape, size in share_card.SIZES.items():
            with Image.open(BytesIO(site[f"recipes/{slug}/{shape}.png"])) as card:
                assert card.size == size
    page = site["recipes/porridge/index.html"].decode()
    assert '<meta property="og:image" content="https://example.org/hub/recipes/porridge/card.png">' in page
    assert '"image":["https://example.org/hub/recipes/porridge/card.png"]' in page
    assert '<meta property="og:image:width" content="1200">' in page


def test_a_hub_can_do_without_cards(hub: Hub, run: Run) -> None:
    hub.edit("hub.yaml", "title: Test hub\n", "title: Test hub\nshare_cards: no\n")
    assert run("publish", hub.root)[0] == 0
    assert not [path for path in hub.published() if path.endswith(".png") and path.startswith("recipes/")]
    assert "og:image" not in (hub.site / "recipes/porridge/index.html").read_text(encoding="utf-8")


def test_other_words_on_the_page_draw_no_card_anew(hub: Hub, run: Run, painted: list[str]) -> None:
    run("publish", hub.root)
    assert sorted(painted) == sorted(f"{title}: {shape}" for title in ("Porridge", "Fruit bowl") for shape in ("card", "card-tall"))  # fmt: skip  # noqa: E501
    painted.clear()
    before = {path: (hub.site / path).stat().st_ino for path in CARDS}
    hub.edit("recipes/porridge.md", "Warm and plain.", "Warm, plain and grey.")
    assert run("publish", hub.root)[0] == 0
    assert painted == []
    assert {path: (hub.site / path).stat().st_ino for path in CARDS} == before
    assert "grey" in (hub.site / "recipes/porridge/index.html").read_text(encoding="utf-8")


def test_another_title_or_figure_draws_the_cards_anew(hub: Hub, run: Run, painted: list[str]) -> None:
    run("publish", hub.root)
    painted.clear()
    hub.edit("recipes/porridge.md", "title: Porridge", "title: Oat porridge")
    run("publish", hub.root)
    assert painted == ["Oat porridge: card", "Oat porridge: card-tall"]
    painted.clear()
    hub.edit("foods/own.csv", "test-apple,Test apple,,fruit,raw,10,,220", "test-apple,Test apple,,fruit,raw,10,,260")
    hub.edit("foods/own.csv", "260,86,0.3,0.2,,12,", "260,86,0.3,0.2,,11,")
    run("publish", hub.root)
    assert painted == ["Fruit bowl: card", "Fruit bowl: card-tall"]


def test_a_card_taken_out_of_the_site_comes_back(hub: Hub, run: Run) -> None:
    run("publish", hub.root)
    whole = hub.published()
    (hub.site / CARDS[0]).unlink()
    hub.edit("recipes/porridge.md", "Warm and plain.", "Warm and plain!")
    assert run("publish", hub.root)[0] == 0
    assert hub.published()[CARDS[0]] == whole[CARDS[0]]


def test_a_photo_is_published_in_several_versions(hub: Hub, run: Run) -> None:
    hub.write("photos/bowl.jpg", picture())
    with_photo(hub)
    assert run("publish", hub.root)[0] == 0
    files = photo_files(hub)
    assert {path.rsplit(".", 1)[1] for path in files} >= {"webp", "jpg"}
    page = (hub.site / "recipes/porridge/index.html").read_text(encoding="utf-8")
    for path in files:
        assert path.removeprefix("recipes/porridge/") in page
    assert 'alt="A blue bowl"' in page
    assert 'width="700" height="400"' in page
    assert 'src="data:image/webp;base64,' in page


def test_a_replaced_photo_rebuilds_its_page_alone(hub: Hub, run: Run, painted: list[str]) -> None:
    hub.write("photos/bowl.jpg", picture())
    with_photo(hub)
    run("publish", hub.root)
    first = photo_files(hub)
    painted.clear()
    hub.edit("recipes/porridge.md", "Warm and plain.", "Warm, plain and grey.")
    run("publish", hub.root)
    assert painted == [], "the same photo is not made again"
    assert photo_files(hub) == first
    hub.write("photos/bowl.jpg", picture((20, 90, 160)))
    run("publish", hub.root)
    assert painted == ["photo"]
    assert not set(photo_files(hub)) & set(first), "another picture has other addresses"


def test_an_incremental_publish_with_pictures_equals_one_from_nothing(hub: Hub, run: Run, tmp_path: Path) -> None:
    hub.write("photos/bowl.jpg", picture())
    with_photo(hub)
    run("publish", hub.root)
    hub.edit("recipes/porridge.md", "Warm and plain.", "Warm, plain and grey.")
    run("publish", hub.root)
    run("publish", hub.root, "--all", "--out", tmp_path / "again")
    again = {p.relative_to(tmp_path / "again").as_posix(): p.read_bytes() for p in (tmp_path / "again").rglob("*") if p.is_file()}  # fmt: skip  # noqa: E501
    assert again == hub.published()


@pytest.mark.parametrize("command", ["proof", "publish"])
@pytest.mark.parametrize(
    ("name", "data", "code"),
    [
        ("photos/bowl.jpg", None, "no-photo"),
        ("photos/bowl.jpg", b"no picture at all", "photo-damaged"),
        ("photos/bowl.jpg", picture()[:1500], "photo-damaged"),
        ("recipes/porridge.md", None, "no-photo"),
        ("hub.yaml", None, "no-photo"),
    ],
)
def test_a_photo_that_cannot_be_used_is_a_problem_at_its_line(
    hub: Hub, run: Run, command: str, name: str, data: bytes | None, code: str
) -> None:
    if data is not None:
        hub.write(name, data)
    with_photo(hub, name)
    status, found = run(command, hub.root)
    assert status == 1
    (problem,) = found["problems"]
    assert (problem["code"], problem["file"], problem["line"]) == (code, "recipes/porridge.md", PHOTO_LINE)
    assert problem["hint"]
    assert not (hub.site / "index.html").exists()


def test_a_photo_taken_away_after_a_publish_is_missed(hub: Hub, run: Run) -> None:
    hub.write("photos/bowl.jpg", picture())
    with_photo(hub)
    run("publish", hub.root)
    (hub.root / "photos/bowl.jpg").rename(hub.root / "photos/bowls.jpg")
    status, found = run("publish", hub.root)
    assert status == 1
    assert found["problems"][0]["code"] == "no-photo"
    assert "photos/bowls.jpg" in found["problems"][0]["hint"]


def test_a_title_without_a_font_is_a_warning(hub: Hub, run: Run) -> None:
    hub.edit("recipes/porridge.md", "title: Porridge", "title: お粥")
    status, found = run("publish", hub.root)
    assert status == 0
    assert [(p["severity"], p["code"], p["line"]) for p in found["problems"]] == [("warning", "card-signs", 2)]


def test_labels_come_with_every_recipe(hub: Hub, run: Run) -> None:
    run("publish", hub.root)
    page = (hub.site / "recipes/fruit-bowl/labels.html").read_text(encoding="utf-8")
    assert "Fruit bowl" in page
    assert '<meta name="robots" content="noindex">' in page
    assert 'href="labels.html"' in (hub.site / "recipes/fruit-bowl/index.html").read_text(encoding="utf-8")
