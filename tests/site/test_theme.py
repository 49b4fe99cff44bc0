"""The theme's contract: what a hub may override, how assets are named, how links are made, what is reported."""

from __future__ import annotations

import hashlib
from dataclasses import replace
from pathlib import Path

import pytest
from tests.site import sample

from gramwright.problems import ProblemLog, Trouble
from gramwright.site import assets
from gramwright.site.pages import home, recipe
from gramwright.site.theme import Theme, safe_path
from gramwright.site.words import NARROW_SPACE, Words, load


def write(root: Path, name: str, text: str) -> None:
    path = root / "theme" / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, encoding="utf-8")


def page(theme: Theme) -> str:
    dish = sample.dish()
    made = recipe.render(theme, dish, sample.label(dish), known=lambda slug: False, log=ProblemLog())
    return next(iter(made.values())).decode()


def test_assets_carry_the_hash_of_their_content() -> None:
    theme = Theme(sample.SETTINGS)
    for path, data in theme.asset_files().items():
        assert hashlib.sha256(data).hexdigest().startswith(path.split(".")[-2])
    assert theme.asset("galley.css").startswith("assets/galley.")


def test_the_style_sheet_refers_to_nothing_outside() -> None:
    style = Theme(sample.SETTINGS).asset_files()
    for path, data in style.items():
        if path.endswith(".css"):
            assert b"url(" not in data, path
            assert b"@import" not in data, path


def test_the_first_visit_is_small() -> None:
    """First page below 60 kB compressed, style included."""
    import gzip

    theme = Theme(sample.SETTINGS)
    css = gzip.compress(theme.assets["galley.css"].data)
    first = gzip.compress(home.render(theme, sample.cards())["index.html"])
    assert len(css) + len(first) < 60_000


def test_a_hub_overrides_one_style_sheet(tmp_path: Path) -> None:
    before = Theme(sample.SETTINGS, tmp_path)
    write(tmp_path, "style/hub.css", ".mine { color: inherit; }\n")
    after = Theme(sample.SETTINGS, tmp_path)
    assert b".mine" in after.assets["galley.css"].data
    assert len(after.assets["galley.css"].data) > 5000, "the rest of the theme is still there"
    assert before.asset("galley.css") != after.asset("galley.css")


def test_a_hub_overrides_one_template(tmp_path: Path) -> None:
    write(tmp_path, "templates/parts/allergens.html", "<p>{{ allergens.contains[0].word }} first</p>")
    text = page(Theme(sample.SETTINGS, tmp_path))
    assert "<p>barley first</p>" in text
    assert "<h1>Barley and squash tray</h1>" in text


def test_a_hub_overrides_one_word_and_adds_a_language(tmp_path: Path) -> None:
    write(tmp_path, "words/en.yaml", "recipe:\n  method: How it is done\n")
    assert "How it is done</h2>" in page(Theme(sample.SETTINGS, tmp_path))
    write(tmp_path, "words/nl.yaml", 'number: {decimal: ","}\nrecipe: {method: Bereiding}\n')
    theme = Theme(replace(sample.SETTINGS, language="nl"), tmp_path)
    text = page(theme)
    assert "Bereiding</h2>" in text
    assert '<html lang="nl"' in text
    assert f"5,7{NARROW_SPACE}g" in text, "a decimal comma in the declaration"


def test_a_change_of_any_file_changes_the_fingerprint(tmp_path: Path) -> None:
    seen = {assets.fingerprint(tmp_path)}
    for name in ("style/hub.css", "templates/recipe.html", "words/en.yaml"):
        write(tmp_path, name, "recipe: {}\n")
        seen.add(assets.fingerprint(tmp_path))
    assert len(seen) == 4
    assert assets.fingerprint(tmp_path) in seen


@pytest.mark.parametrize(
    ("name", "text", "code"),
    [
        ("templates/recipe.html", "{% block %}", "template"),
        ("templates/recipe.html", "{{ recipe.nonsense }}", "template"),
        ("templates/recipe.html", "{{ nonsense }}", "template"),
        ("words/en.yaml", "recipe: [", "theme-file"),
        ("words/en.yaml", "recipe: {method: 3}", "theme-words"),
        ("words/en.yaml", "- a", "theme-words"),
    ],
)
def test_broken_overrides_are_told(tmp_path: Path, name: str, text: str, code: str) -> None:
    write(tmp_path, name, text)
    with pytest.raises(Trouble) as caught:
        page(Theme(sample.SETTINGS, tmp_path))
    assert caught.value.code == code
    assert caught.value.hint


def test_an_unknown_language_names_the_known_ones() -> None:
    with pytest.raises(Trouble) as caught:
        Theme(replace(sample.SETTINGS, language="tlh"))
    assert caught.value.code == "unknown-language"
    assert "en" in caught.value.hint


def test_links_are_relative_and_safe() -> None:
    theme = Theme(sample.SETTINGS)
    assert theme.url("index.html", "foods/index.html") == "foods/index.html"
    assert theme.url("recipes/x/index.html", "foods/index.html") == "../../foods/index.html"
    assert theme.absolute("recipes/x/index.html") == "https://example.org/kitchen/recipes/x/"
    assert theme.absolute("feed.xml") == "https://example.org/kitchen/feed.xml"
    assert Theme(replace(sample.SETTINGS, base_url="")).absolute("feed.xml") == ""
    assert safe_path('a"b<c') == "a%22b%3Cc"


def test_every_word_with_a_number_has_the_forms_of_its_language() -> None:
    words = load("en", None)
    assert words("recipe.portions", n=1) == "1 portion"
    assert words("recipe.portions", n=2.5) == "2.5 portions"
    assert words("recipe.portions", n=0) == "0 portions"
    with pytest.raises(Trouble):
        words("no.such.word")


@pytest.mark.parametrize(
    ("amount", "decimals", "text"),
    [
        (0.0, 0, "0"),
        (392.5, 0, "393"),
        (0.125, 2, "0.13"),
        (1654.2, 0, f"1{NARROW_SPACE}654"),
        (1234567.0, 0, f"1{NARROW_SPACE}234{NARROW_SPACE}567"),
        (999.5, 0, f"1{NARROW_SPACE}000"),
    ],
)
def test_numbers_are_rounded_half_up_and_grouped(amount: float, decimals: int, text: str) -> None:
    assert load("en", None).number(amount, decimals) == text


@pytest.mark.parametrize(
    ("amount", "text"),
    [
        (0.0, "0"),
        (0.349, "0.35"),
        (2.5, "2.5"),
        (3.0, "3"),
        (9.94, "9.9"),
        (9.96, "10"),
        (160.0, "160"),
        (1620.0, "1 620"),
    ],
)
def test_grams(amount: float, text: str) -> None:
    assert load("en", None).grams(amount) == text.replace(" ", NARROW_SPACE) + f"{NARROW_SPACE}g"


def test_another_languages_numbers() -> None:
    words = Words("de", {"number.decimal": ",", "number.group": "."})
    assert words.number(1654.25, 1) == "1.654,3"
    assert words.localised("1654 kJ / <0.5 g") == "1.654 kJ / <0,5 g"


def test_slots_are_filled_once() -> None:
    """What a page fills in is text, whatever it looks like."""
    words = Words("en", {"a": "{name} has {share}"})
    assert words("a", name="{share}", share="12 %") == "{share} has 12 %"


def test_an_included_template_sees_the_page_and_keeps_its_own_names_to_itself(tmp_path: Path) -> None:
    from gramwright.site.templates import environment

    (tmp_path / "part.html").write_text("{% set inner = 'in' %}{{ outer }}/{{ inner }}/{{ row }} ", encoding="utf-8")
    (tmp_path / "page.html").write_text(
        "{% set outer = '<o>' %}{% for row in rows %}{% include 'part.html' %}{% endfor %}"
        "{% if inner is defined %}leaked{% endif %}",
        encoding="utf-8",
    )
    made = environment([tmp_path]).get_template("page.html").render(rows=["a", "b & c"])
    assert made == "&lt;o&gt;/in/a &lt;o&gt;/in/b &amp; c "


def test_a_template_may_include_itself(tmp_path: Path) -> None:
    from gramwright.site.templates import environment

    (tmp_path / "tree.html").write_text(
        "{{ node[0] }}{% for node in node[1] %}({% include 'tree.html' %}){% endfor %}", encoding="utf-8"
    )
    made = environment([tmp_path]).get_template("tree.html").render(node=("a", [("b", []), ("c", [("d", [])])]))
    assert made == "a(b)(c(d))"
