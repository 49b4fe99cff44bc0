"""Label sheets in Chromium: every label holds its whole text, sheets print on one page in true millimetres."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from tests.site import sample

from gramwright.model import AllergenFindings, Label, Presence
from gramwright.site.pages import labels
from gramwright.site.theme import Theme

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

pytestmark = pytest.mark.browser

MM = 96 / 25.4
PAPER = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}
"""ISO 216 and ANSI/ASME Y14.1, in millimetres."""
STYLE = Path(__file__).resolve().parents[2] / "themes/galley/style/labels.css"


def findings(**states: Presence) -> AllergenFindings:
    found = sample.findings()
    return replace(found, states={name: states.get(name, Presence.NOT_RECORDED) for name in found.states})


def label(allergens: AllergenFindings) -> Label:
    return replace(sample.label(), allergens=allergens)


EVERYTHING = findings(**dict.fromkeys(sample.EU_LIST, Presence.CONTAINS))
DISHES = {
    "plain": ("Barley and squash tray", sample.findings()),
    "short": ("Soup", findings()),
    "mixed": (
        "Slow barley, squash and smoked sausage tray with fennel seeds and lemon",
        findings(milk=Presence.CONTAINS, wheat=Presence.CONTAINS, sesame=Presence.UNKNOWN, fish=Presence.MAY_CONTAIN),
    ),
    "everything": ("Barley and squash tray", EVERYTHING),
    "wide": ("WWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWW MMMMMMMMMMMMMMMMM", sample.findings()),
    "long": ("Barley and squash tray " * 8, EVERYTHING),
}


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    root = tmp_path_factory.mktemp("labels")
    theme = Theme(sample.SETTINGS)
    files = dict(theme.asset_files())
    for slug, (title, allergens) in DISHES.items():
        files |= labels.render(theme, sample.dish(slug=slug, title=title.strip()), label(allergens))
    for path, data in files.items():
        (root / path).parent.mkdir(parents=True, exist_ok=True)
        (root / path).write_bytes(data)
    return root


def page_of(browser: Browser, folder: Path, slug: str, **context: object) -> Page:
    page = browser.new_context(**context).new_page()  # type: ignore[arg-type]  # context options by name
    page.goto((folder / labels.path_of(slug)).as_uri())
    return page


def offered(page: Page) -> Iterator[str]:
    for radio in page.locator("input[name=sheet]").all():
        yield radio.get_attribute("id") or ""


def test_the_style_sheet_has_the_sheets_lengths() -> None:
    style = STYLE.read_text(encoding="utf-8")
    for sheet in labels.SHEETS:
        said = re.search(rf":has\(#{sheet.id}:checked\) \.sheet {{ (--across[^}}]*) }}", style)
        assert said is not None, sheet.id
        lengths = dict(re.findall(r"--([a-z]+): ([\d.]+);", said[1]))
        wanted = (sheet.across, sheet.wide, sheet.high, sheet.gap)
        assert tuple(float(lengths[name]) for name in ("across", "wide", "high", "gap")) == wanted
        wide, high = PAPER[sheet.paper]
        assert sheet.across * sheet.wide + (sheet.across - 1) * sheet.gap <= wide
        assert sheet.down * sheet.high <= high
    sizes = re.findall(r"\.size-(\d):checked\) \.sheet { --type: ([\d.]+); }", style)
    assert [(int(at), float(size)) for at, size in sizes] == list(enumerate(labels.SIZES))


@pytest.mark.parametrize("slug", sorted(DISHES))
def test_every_label_holds_all_that_must_be_said(browser: Browser, folder: Path, slug: str) -> None:
    """Nothing overflows, on screen or on paper, on any sheet that is offered."""
    page = page_of(browser, folder, slug, viewport={"width": 1100, "height": 900})
    assert list(offered(page)), "some sheet is offered"
    for media in ("screen", "print"):
        page.emulate_media(media="screen")
        for sheet in offered(page):
            page.locator(f"#{sheet}").check()
            page.emulate_media(media=media)
            over = page.evaluate(
                """() => [...document.querySelectorAll(".sheet li")].filter(one => one.offsetHeight).map(one => {
                    const inside = one.getBoundingClientRect();
                    return Math.max(...[...one.children].map(part => {
                        const box = part.getBoundingClientRect();
                        return Math.max(box.bottom - inside.bottom, box.right - inside.right,
                                        part.scrollWidth - part.clientWidth - 1);
                    }));
                })"""
            )
            wanted = next(s.count for s in labels.SHEETS if s.id == sheet)
            assert len(over) == wanted, f"{sheet}: labels shown"
            assert max(over) <= 0, f"{slug} on {sheet} ({media})"
            page.emulate_media(media="screen")
    page.context.close()


def test_a_sheet_without_room_is_not_offered_and_named(browser: Browser, folder: Path) -> None:
    page = page_of(browser, folder, "everything")
    assert "letter-30" not in list(offered(page))
    assert "Letter, 30 labels" in page.locator(".page-labels .fine").first.inner_text()
    page.context.close()
    page = page_of(browser, folder, "long")
    assert not {"a4-24", "letter-14", "letter-30"} & set(offered(page))
    assert page.locator("input[name=sheet]:checked").count() == 1
    page.context.close()


@pytest.mark.parametrize("sheet", labels.SHEETS, ids=lambda sheet: sheet.id)
def test_sheets_print_true_to_size_on_one_page(browser: Browser, folder: Path, sheet: labels.Sheet) -> None:
    page = page_of(browser, folder, "plain", viewport={"width": 1100, "height": 900})
    page.locator(f"#{sheet.id}").check()
    paper = page.evaluate("getComputedStyle(document.body).page")
    assert paper == sheet.paper.lower(), "nothing before the sheet may begin another page"
    printed = page.pdf(prefer_css_page_size=True)
    assert len(re.findall(rb"/Type\s*/Page[^s]", printed)) == 1
    media = re.search(rb"/MediaBox\s*\[0 0 ([\d.]+) ([\d.]+)\]", printed)
    assert media is not None
    wide, high = (float(length) / 72 * 25.4 for length in media.groups())
    assert (wide, high) == pytest.approx(PAPER[sheet.paper], abs=0.4)
    page.emulate_media(media="print")
    boxes = [box for one in page.locator(".sheet li").all() if (box := one.bounding_box()) is not None]
    assert len(boxes) == sheet.count
    frame = page.locator(".sheet").bounding_box()
    assert frame is not None
    for at, box_ in enumerate(boxes):
        column, row = at % sheet.across, at // sheet.across
        left = (PAPER[sheet.paper][0] - sheet.across * sheet.wide - (sheet.across - 1) * sheet.gap) / 2
        top = (PAPER[sheet.paper][1] - sheet.down * sheet.high) / 2
        assert (box_["x"] - frame["x"]) / MM == pytest.approx(left + column * (sheet.wide + sheet.gap), abs=0.15)
        assert (box_["y"] - frame["y"]) / MM == pytest.approx(top + row * sheet.high, abs=0.15)
        assert (box_["width"] / MM, box_["height"] / MM) == pytest.approx((sheet.wide, sheet.high), abs=0.1)
    assert (frame["x"], frame["y"]) == (0, 0), "nothing stands before the sheet"
    page.context.close()


def test_it_works_without_javascript(browser: Browser, folder: Path) -> None:
    page = page_of(browser, folder, "plain", java_script_enabled=False)
    page.locator("#a4-21").check()
    assert sum(one.is_visible() for one in page.locator(".sheet li").all()) == 21
    page.context.close()


def test_what_a_label_says(browser: Browser, folder: Path) -> None:
    page = page_of(browser, folder, "mixed")
    text = page.locator(".sheet li").first.inner_text()
    for said in ("Contains wheat, milk.", "May contain fish.", "Not known: sesame.", "Made", "Use by", "kcal", "405"):
        assert said in text.replace("\n", " "), said
    assert page.locator(".sheet li").first.locator("strong").all_inner_texts() == ["wheat", "milk", "fish", "sesame"]
    page.context.close()
    page = page_of(browser, folder, "plain")
    text = page.locator(".sheet li").first.inner_text()
    assert "Not known: all others on the list." in text
    page.context.close()
    page = page_of(browser, folder, "short")
    assert "No listed allergen in the ingredients as recorded." in page.locator(".sheet li").first.inner_text()
    page.context.close()


@pytest.mark.parametrize("width", [320, 768, 1280])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_page_fits_and_keeps_its_policy(browser: Browser, folder: Path, width: int, scheme: str) -> None:
    page = browser.new_context(viewport={"width": width, "height": 800}, color_scheme=scheme).new_page()  # type: ignore[arg-type]  # one of two
    wrong: list[str] = []
    page.on("console", lambda message: wrong.append(message.text))
    page.goto((folder / labels.path_of("plain")).as_uri())
    assert wrong == []
    assert page.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0
    ground = page.evaluate("getComputedStyle(document.querySelector('.sheet')).backgroundColor")
    assert ground == "rgb(255, 255, 255)", "a sheet of paper is white"
    page.context.close()
