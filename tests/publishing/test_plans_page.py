"""What PLANS.md shows can be typed as it stands, it names every key there is, and what it says of them is so."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from tests.publishing.hub_make import Run

from gramwright.model import Gear, Oven
from gramwright.model.steps import COMPATIBLE_C, TOGETHER_MIN
from gramwright.prep.schedule_network import USUAL_OVEN
from gramwright.problems import Place
from gramwright.reading import pantry, plan_block, plan_days, plan_kitchen, plans, prices, steps, targets

PAGE = Path(__file__).resolve().parents[2] / "PLANS.md"
README = PAGE.with_name("README.md")


def text() -> str:
    return PAGE.read_text(encoding="utf-8")


def examples(language: str) -> list[str]:
    fence = "````" if language == "markdown" else "```"
    return re.findall(rf"^{fence}{language}\n(.*?)^{fence}$", text(), re.DOTALL | re.MULTILINE)


@pytest.mark.long
def test_the_examples_publish(tmp_path: Path, run: Run) -> None:
    recipe, plan = examples("markdown")
    in_the_house, packs = examples("csv")
    hub = tmp_path / "hub"
    assert run("start", hub)[0] == 0
    for name, content in {
        "recipes/squash-tray.md": recipe,
        "plans/two-days.md": plan,
        "pantry.csv": in_the_house,
        "prices.csv": packs,
    }.items():
        (hub / name).parent.mkdir(exist_ok=True)
        (hub / name).write_text(content, encoding="utf-8")
    code, data = run("publish", hub)
    assert code == 0, data
    assert data["problems"] == []
    made = hub / "published" / "plans" / "two-days"
    assert (made / "session.ics").is_file()
    listed = (made / "shopping.csv").read_text(encoding="utf-8")
    assert ",500,500," in listed, "a pack of barley"
    page = (made / "index.html").read_text(encoding="utf-8")
    assert "of the weight" in page, "costs"


@pytest.mark.parametrize(
    "keys",
    [
        steps.KEYS,
        plans.KEYS,
        plan_block.KEYS,
        plan_block.SERVING_KEYS,
        plan_kitchen.GEAR_KEYS,
        plan_kitchen.OVEN_KEYS,
        plan_kitchen.SESSION_KEYS,
        tuple(targets.TARGET_KEYS),
        pantry.COLUMNS,
        prices.COLUMNS,
    ],
)
def test_every_key_is_explained(keys: tuple[str, ...]) -> None:
    plain = re.sub(r"^(`{3,4}).*?^\1$", "", text(), flags=re.DOTALL | re.MULTILINE)
    assert [key for key in keys if f"`{key}`" not in plain] == []


def test_every_key_in_the_tables_is_one() -> None:
    known = {*steps.KEYS, *plan_block.KEYS, *plan_block.SERVING_KEYS}
    named = re.findall(r"^\| ((?:`[a-z_]+`(?:, |, or )?)+)", text(), re.MULTILINE)
    keys = {key for cell in named for key in re.findall(r"`([a-z_]+)`", cell)}
    assert keys <= known, keys - known


def test_the_figures_it_gives_are_those_that_hold() -> None:
    said = " ".join(text().split())
    gear, oven = Gear(), Oven("", *plan_kitchen.USUAL_OVEN_C, Place(""))
    assert f"`hands` (people who cook; {gear.hands}), `rings` ({gear.rings})" in said
    assert f"`microwaves` ({gear.microwaves}), `air_fryers` ({gear.air_fryers}), `bowls` (not counted)" in said
    assert gear.bowls is None
    assert f"°C; {oven.low_c:g} and {oven.high_c:g}), `shelves` ({oven.shelves})" in said
    assert (USUAL_OVEN.low_c, USUAL_OVEN.high_c, USUAL_OVEN.shelves) == (oven.low_c, oven.high_c, oven.shelves)
    assert oven.shelves == plan_kitchen.USUAL_SHELVES
    assert f"from {steps.COLDEST_OVEN:g} to {steps.HOTTEST_OVEN:g} °C" in said
    assert f"give or take {TOGETHER_MIN} minutes" in said
    assert f"differ by at most {COMPATIBLE_C:g} °C" in said
    assert f"at most {plan_days.MOST_DAYS} from the first" in said


def test_the_readme_leads_there() -> None:
    assert "(PLANS.md)" in README.read_text(encoding="utf-8")
