"""Recipe pages: front matter, prose and rows, and their places."""

from __future__ import annotations

import time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gramwright.model import RecipePage
from gramwright.problems import ProblemLog
from gramwright.reading import pages

PAGE = """---
title: Barley and squash tray
summary: One line for cards and search results.
portions: 4
meals: [lunch]
hands_on: 15 min
total: 55 min
finished_weight: 1480 g        # or  yield: 0.86
keeps: {fridge: 3 days, freezer: 2 months}
claims: [high fibre]
tags: [one tray]
photo: photos/barley-squash.jpg
published: 2025-03-31
declared: [{diet: halal, reason: the meat comes from a halal butcher}]
cautions: [Let it cool before you carry it.]
silence: [{caution: honey, reason: the honey is boiled off}]
---
Text before the block is the introduction, text after it the method.

```text
```

```ingredients
Tray:
  - 160 g pearl barley, dry
  - 2 medium carrots; peeled, diced
  - {amount: 1 tbsp, food: olive oil, note: for the tin}
To serve:
  - {amount: 30 g, food: feta, optional: true, swaps: [{amount: 40 g, food: smoked tofu}]}
```

1. Bake it.
"""


def read(text: str, file: str = "recipes/barley-squash.md") -> tuple[RecipePage | None, ProblemLog]:
    log = ProblemLog()
    return pages.read_page(text, file, log), log


def good(text: str, file: str = "recipes/barley-squash.md") -> RecipePage:
    page, log = read(text, file)
    assert [str(problem) for problem in log] == []
    assert page is not None
    return page


def test_the_page_of_the_design_is_read_whole() -> None:
    page = good(PAGE)
    assert page.slug == "barley-squash"
    assert page.title == "Barley and squash tray"
    assert page.portions == 4
    assert (page.meals, page.tags, page.claims) == (("lunch",), ("one tray",), ("high fibre",))
    assert (page.hands_on_min, page.total_min) == (15, 55)
    assert page.finished_g == 1480
    assert page.yield_factor is None
    assert (page.keeps.fridge_days, page.keeps.freezer_days) == (3, 60)
    assert page.photo == "photos/barley-squash.jpg"
    assert page.published == "2025-03-31"
    assert [(said.name, said.reason) for said in page.declared] == [("halal", "the meat comes from a halal butcher")]
    assert page.cautions == ("Let it cool before you carry it.",)
    assert [said.name for said in page.silenced] == ["honey"]
    assert page.lines["title"] == 2
    assert page.lines["keeps"] == 9
    assert page.intro.startswith("Text before the block")
    assert page.intro.endswith("```text\n```")
    assert page.intro_line == 18
    assert page.method == "\n1. Bake it.\n"
    assert PAGE.split("\n")[page.method_line - 1 :] == ["", "1. Bake it.", ""]


def test_rows_know_their_place_in_the_file() -> None:
    page = good(PAGE)
    lines = PAGE.split("\n")
    assert [row.part for row in page.rows] == ["Tray", "Tray", "Tray", "To serve"]
    for row in page.rows:
        written = lines[row.place.line - 1][row.place.column - 1 :]
        assert written.startswith((row.text, "{amount"))
    assert page.rows[1].note == "peeled, diced"
    assert page.rows[3].swaps[0].place.line == page.rows[3].place.line


@pytest.mark.parametrize("marks", ["```", "~~~", "`````", "   ~~~~"])
def test_both_kinds_of_fence(marks: str) -> None:
    text = f"---\ntitle: Tray\nportions: 2\n---\n{marks} ingredients\n- 160 g barley\n{marks}\nBake.\n"
    page = good(text)
    assert page.rows[0].words == "g barley"
    assert page.method == "Bake.\n"


def test_windows_line_ends_and_a_byte_order_mark_do_not_matter() -> None:
    from gramwright.reading.files import decode

    log = ProblemLog()
    text = decode(b"\xef\xbb\xbf" + PAGE.replace("\n", "\r\n").encode(), "recipes/barley-squash.md", log)
    assert text == PAGE


def test_numbers_take_a_decimal_comma() -> None:
    page = good("---\ntitle: Tray\nportions: 2,5\nyield: 0,86\n---\n```ingredients\n- 0,5 kg barley\n```\n", "tray.md")
    assert page.portions == 2.5
    assert page.yield_factor == 0.86
    assert page.rows[0].quantity is not None
    assert page.rows[0].quantity.middle == 0.5


def test_words_that_yaml_takes_for_other_things_stay_texts() -> None:
    page = good("---\ntitle: No\nportions: 2\ntags: [1990, yes]\n---\n```ingredients\n- 5 g barley\n```\n", "tray.md")
    assert page.title == "No"
    assert page.tags == ("1990", "yes")


def test_lists_may_be_written_without_brackets() -> None:
    page = good("---\ntitle: T\nportions: 2\nmeals: lunch, dinner\n---\n```ingredients\n- 5 g barley\n```\n", "tray.md")
    assert page.meals == ("lunch", "dinner")


def test_keys_left_empty_are_as_if_not_written() -> None:
    page = good(
        "---\ntitle: T\nportions: 2\nphoto:\nkeeps: ~\ntags:\n---\n```ingredients\n- 5 g barley\n```\n", "tray.md"
    )
    assert (page.photo, page.tags, page.keeps.fridge_days) == ("", (), None)


def test_a_slug_of_its_own_comes_before_the_file_name() -> None:
    text = "---\ntitle: T\nslug: squash-tray-2\nportions: 2\n---\n```ingredients\n- 5 g barley\n```\n"
    assert good(text, "recipes/Some Name.md").slug == "squash-tray-2"


@pytest.mark.parametrize(
    "slug", ["../x", "a/b", "A", "a b", "a--b", "-a", "a-", ".", "..", "a.b", "%2e%2e", "ä", "x" * 101, "con\\x"]
)
def test_a_slug_never_leads_out_of_its_folder(slug: str) -> None:
    page, log = read(f"---\ntitle: T\nslug: '{slug}'\nportions: 2\n---\n```ingredients\n- 5 g barley\n```\n")
    assert page is None
    assert [(problem.code, problem.place.line) for problem in log] == [("bad-slug", 3)]


@pytest.mark.parametrize("title", ["<script>alert(1)</script>", "Tray <b>hot</b>", "<!-- x -->", "a</p>", "<?php"])
def test_markup_in_a_title_is_an_error(title: str) -> None:
    page, log = read(f"---\ntitle: '{title}'\nportions: 2\n---\n```ingredients\n- 5 g barley\n```\n")
    assert page is None
    assert [problem.code for problem in log] == ["markup"]


def test_less_than_is_no_markup() -> None:
    assert (
        good("---\ntitle: Lunch < 300 kcal\nportions: 2\n---\n```ingredients\n- 5 g barley\n```\n").title
        == "Lunch < 300 kcal"
    )


def test_all_problems_of_a_page_come_in_one_run() -> None:
    front = "---\ntitle: <i>x</i>\nportions: 0\ntotl: 5 min\n---\n"
    text = front + "```ingredients\n- 0 g barley\n- 1,000 g oats\n```\n```ingredients\n```\n"
    page, log = read(text)
    assert page is None
    assert [(p.place.line, p.code) for p in log.sorted()] == [
        (2, "markup"),
        (3, "out-of-range"),
        (4, "unknown-key"),
        (7, "bad-amount"),
        (8, "ambiguous-number"),
        (10, "two-ingredients"),
    ]


@pytest.mark.parametrize(
    ("name", "key"),
    [("serves", "portions"), ("prep time", "hands_on"), ("Cook_Time", "total"), ("recipeCategory", "meals")],
)
def test_another_name_for_a_key_leads_to_the_key(name: str, key: str) -> None:
    page, log = read(f"---\ntitle: T\nportions: 2\n{name}: 4\n---\n```ingredients\n- 5 g barley\n```\n")
    assert page is None
    assert [(problem.code, problem.hint) for problem in log] == [("unknown-key", f"did you mean '{key}'?")]


@pytest.mark.parametrize(
    "photo",
    ["../x.jpg", "/etc/passwd", "photos/../../x", "https://example.org/x.jpg", "C:\\x.jpg", "data:image/png;base64,x"],
)
def test_a_photo_lies_inside_the_hub(photo: str) -> None:
    page, log = read(f"---\ntitle: T\nportions: 2\nphoto: '{photo}'\n---\n```ingredients\n- 5 g barley\n```\n")
    assert page is None
    assert [problem.code for problem in log] == ["bad-path"]


FRONT = "---\ntitle: T\nportions: 2\n---\n"
HOSTILE = {
    "many fences": FRONT + "```x\n```\n" * 40_000,
    "many blocks": FRONT + "```ingredients\n- 5 g barley\n```\n" * 20_000,
    "many rows": FRONT + "```ingredients\n" + "- 5 g barley\n" * 30_000 + "```\n",
    "many keys": "---\n" + "".join(f"k{number}: 1\n" for number in range(30_000)) + "---\n",
    "one long row": FRONT + "```ingredients\n- 5 g " + "barley " * 200_000 + "\n```\n",
    "spaces": FRONT + "```ingredients\n- '5 g" + " " * 1_500_000 + "'\n```\n",
    "digits": FRONT + "```ingredients\n- " + "9" * 1_500_000 + " g barley\n```\n",
    "long title": "---\ntitle: " + "<" * 1_500_000 + "\n---\n",
    "dashes": "---\n" * 400_000,
}


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_page_is_refused_in_no_time(name: str) -> None:
    start = time.perf_counter()
    page, log = read(HOSTILE[name])
    assert time.perf_counter() - start < 10
    assert page is None
    assert 0 < len(log) < 200
    for problem in log:
        assert len(problem.message) < 400


@settings(max_examples=300)
@given(st.data())
def test_a_page_with_random_damage_is_read_or_refused(data: st.DataObject) -> None:
    """Cut, doubled and foreign pieces anywhere: problems with places inside the file, never an exception."""
    text = PAGE
    for _ in range(data.draw(st.integers(1, 4))):
        at = data.draw(st.integers(0, len(text)))
        end = data.draw(st.integers(at, min(len(text), at + 30)))
        piece = data.draw(
            st.sampled_from(
                ["", text[at:end] * 2, "\n", "---\n", "```", ": ", "- ", "{", "]", "'", "&a ", "*a", "½", "<b>", "0"]
            )
        )
        text = text[:at] + piece + text[end:]
    page, log = read(text)
    assert (page is None) == log.has_errors
    for problem in log:
        assert 0 <= problem.place.line <= text.count("\n") + 2
        assert problem.hint


@given(st.text(max_size=200))
def test_any_text_is_no_page_but_no_exception(text: str) -> None:
    page, log = read(text)
    assert page is None
    assert log.has_errors


@pytest.mark.parametrize(
    ("name", "slug"),
    [("únï-Köder Straße", "uni-koder-strasse"), ("Smørrebrød à la Łódź", "smorrebrod-a-la-lodz"), ("ŒUFS", "oeufs")],
)
def test_the_hint_for_a_file_name_folds_accents(name: str, slug: str) -> None:
    page, log = read("---\ntitle: T\nportions: 2\n---\n```ingredients\n- 5 g barley\n```\n", f"recipes/{name}.md")
    assert page is None
    assert [(problem.code, problem.hint) for problem in log] == [("bad-slug", f"write 'slug: {slug}'")]


@pytest.mark.parametrize(("hands_on", "total", "told"), [("2 h", "10 min", True), ("10 min", "10 min", False)])
def test_more_hands_on_than_total_is_told_at_its_line(hands_on: str, total: str, told: bool) -> None:
    head = f"---\ntitle: T\nportions: 2\ntotal: {total}\nhands_on: {hands_on}\n---\n"
    page, log = read(head + "```ingredients\n- 5 g barley\n```\n")
    assert page is not None
    found = [(problem.severity, problem.code, problem.place.line) for problem in log]
    assert found == ([("warning", "hands-on-above-total", 5)] if told else [])
