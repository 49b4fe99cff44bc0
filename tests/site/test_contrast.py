"""Colours of the theme against WCAG 2.2: text 4.5:1 (1.4.3), graphics 3:1 (1.4.11)."""

from __future__ import annotations

import re

import pytest

from gramwright.resources import themes

TOKENS = (themes() / "galley" / "style" / "tokens.css").read_text(encoding="utf-8")
DECLARATION = re.compile(r"--([\w-]+):\s*(#[0-9a-fA-F]{6})\s*;")
TEXT = ("ink", "soft", "link")
GRAPHICS = ("protein", "carbohydrate", "fat", "fibre", "other", "tick", *(f"shade-{n}" for n in range(1, 7)))
TABLE = {
    "light": {"ink": 14.6, "soft": 6.1, "link": 8.3, "protein": 5.7, "carbohydrate": 4.2, "fat": 5.9, "fibre": 5.2},
    "dark": {"ink": 13.0, "soft": 7.6, "link": 8.9, "protein": 6.8, "carbohydrate": 8.0, "fat": 5.5, "fibre": 7.8},
}
"""Ratios against the sheet that the colours were chosen for."""


def schemes() -> dict[str, dict[str, str]]:
    light, _, rest = TOKENS.partition("@media (prefers-color-scheme: dark)")
    dark = rest.partition("@media")[0]
    first = dict(DECLARATION.findall(light))
    return {"light": first, "dark": {**first, **dict(DECLARATION.findall(dark))}}


def luminance(colour: str) -> float:
    """WCAG 2.2, "relative luminance"."""
    channels = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    """WCAG 2.2, "contrast ratio"."""
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_the_formula_on_known_pairs() -> None:
    """Black on white is 21:1; #777777 on white is just below 4.5:1 (WCAG 2.2, Understanding 1.4.3)."""
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.01)


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("ground", ["page", "sheet"])
def test_text_and_graphics_stand_out(scheme: str, ground: str) -> None:
    colours = schemes()[scheme]
    for name in TEXT:
        assert contrast(colours[name], colours[ground]) >= 4.5, f"{name} on {ground}, {scheme}"
    for name in GRAPHICS:
        assert contrast(colours[name], colours[ground]) >= 3, f"{name} on {ground}, {scheme}"


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_marked_words_stay_readable(scheme: str) -> None:
    colours = schemes()[scheme]
    assert contrast(colours["ink"], colours["highlight"]) >= 4.5


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_ratios_are_those_the_colours_were_chosen_for(scheme: str) -> None:
    colours = schemes()[scheme]
    for name, ratio in TABLE[scheme].items():
        assert contrast(colours[name], colours["sheet"]) == pytest.approx(ratio, abs=0.06), name


def test_every_colour_in_the_style_sheets_is_a_token() -> None:
    """Paper has colours of its own; everything else goes through the tokens, so that the checks here cover it."""
    for path in sorted((themes() / "galley" / "style").glob("*.css")):
        if path.name not in {"tokens.css", "print.css", "labels.css"}:
            rules = re.sub(r"--[\w-]+:[^;]*;", "", path.read_text(encoding="utf-8"))
            found = re.findall(r"#[0-9a-fA-F]{3,8}\b|\brgba?\(|\bhsla?\(", rules)
            assert not found, f"{path.name}: {found}"
