"""A recipe's photo in Chromium: its place is kept, its tiny version stands behind it, the policy is kept."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from PIL import Image
from tests.browser.find_page import wait
from tests.site import sample

from gramwright.problems import ProblemLog
from gramwright.site.pages import recipe
from gramwright.site.pictures import photos
from gramwright.site.theme import Theme

if TYPE_CHECKING:
    from playwright.sync_api import Browser

pytestmark = pytest.mark.browser

PAGE = "recipes/barley-squash-tray/index.html"


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """One recipe with a photo of 1001 x 677 pixels: no whole ratio to its tiny version."""
    root = tmp_path_factory.mktemp("photo")
    out = BytesIO()
    Image.linear_gradient("L").resize((1001, 677)).convert("RGB").save(out, "JPEG")
    read = photos.read(out.getvalue())
    made = photos.make(read)
    jpeg = next(made[name] for name, _, ending in read.names if ending == "jpg")
    theme = Theme(sample.SETTINGS)
    dish = sample.dish(photo="photos/tray.jpg", photo_alt='A "tray" & more')
    log = ProblemLog()
    files = recipe.render(
        theme, dish, sample.label(dish), known=lambda slug: True, log=log, photo=read.photo(photos.blur(jpeg))
    )
    files |= theme.asset_files()
    files |= {f"recipes/{dish.page.slug}/{name}": data for name, data in made.items()}
    for path, data in files.items():
        (root / path).parent.mkdir(parents=True, exist_ok=True)
        (root / path).write_bytes(data)
    return root


@pytest.mark.parametrize("width", [320, 1280])
def test_a_photo_moves_nothing_when_it_arrives(browser: Browser, folder: Path, width: int) -> None:
    page = browser.new_context(viewport={"width": width, "height": 800}).new_page()
    wrong: list[str] = []
    page.on("console", lambda message: wrong.append(message.text))
    held = []
    page.route("**/photo-*", lambda route: held.append(route))
    page.goto((folder / PAGE).as_uri(), wait_until="domcontentloaded")
    page.locator(".photo").scroll_into_view_if_needed()
    wait(page, "document.querySelector('.photo-blur').complete")
    before = page.locator(".photo").bounding_box()
    page.wait_for_timeout(100)
    for route in held:
        route.continue_()
    page.unroute("**/photo-*")
    shown = "document.querySelector('.photo picture img')"
    wait(page, f"{shown}.complete && {shown}.naturalWidth > 0")
    after = page.locator(".photo").bounding_box()
    assert before is not None
    assert after == pytest.approx(before, abs=0.5), "half a pixel: each version has whole pixels of its own"
    assert before["width"] / before["height"] == pytest.approx(1001 / 677, rel=0.02)
    large = page.locator(".photo picture img").bounding_box()
    assert large is not None
    assert large == pytest.approx(before, abs=0.6), "nothing of the tiny version shows beside it"
    assert page.locator(".photo picture img").get_attribute("alt") == 'A "tray" & more'
    assert page.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0
    assert wrong == []
    page.context.close()
