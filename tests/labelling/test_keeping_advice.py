"""What an author says of keeping against the law's own advice for left-overs, in proof and on the page.

Sources: UK Food Standards Agency, chilling and leftovers (2 days); USDA FSIS, cold storage chart (3 to 4 days; 2 to 6
months frozen).
"""

from __future__ import annotations

import pytest
from tests.publishing.hub_make import HUB, PORRIDGE, Hub, Run, hub, run

__all__ = ["hub", "run"]

SILENCED = "silence: [{caution: fridge-days, reason: It is salted.}]\n"


def write(hub: Hub, rule_set: str, keeps: str, more: str = "", title: str = "Porridge") -> None:
    hub.write("hub.yaml", HUB + f"rule_set: {rule_set}\n")
    page = PORRIDGE.replace("title: Porridge", f"title: {title}")
    hub.write("recipes/porridge.md", page.replace("---\nWarm", f"keeps: {{{keeps}}}\n{more}---\nWarm"))


@pytest.mark.parametrize(
    ("rule_set", "keeps", "more", "said"),
    [
        ("uk", "fridge: 2 days", "", []),
        ("uk", "fridge: 6 days", "", ["2 days"]),
        ("eu", "fridge: 6 days", "", ["2 days"]),
        ("us", "fridge: 4 days", "", []),
        ("us", "fridge: 6 days", "", ["3 to 4 days"]),
        ("us", "fridge: 6 days, freezer: 8 months", "", ["3 to 4 days", "2 to 6 months"]),
        ("us", "freezer: 6 months", "", []),
        ("codex", "fridge: 30 days", "", []),  # no figure of its own
        ("uk", "fridge: 6 days", SILENCED, []),
    ],
)
def test_longer_than_the_advice_is_told_with_its_line(
    hub: Hub, run: Run, rule_set: str, keeps: str, more: str, said: list[str]
) -> None:
    write(hub, rule_set, keeps, more)
    code, data = run("proof", hub.root)
    found = [p for p in data["problems"] if p["code"] == "keeps-past-guidance"]
    assert code == 0
    assert [(p["file"], p["line"], p["severity"]) for p in found] == [("recipes/porridge.md", 9, "warning")] * len(said)
    for span in said:
        assert sum(f"expected at most {span} in the " in problem["message"] for problem in found) == 1
    assert all(problem["hint"].startswith("write '") for problem in found)


def test_the_way_out_is_one(hub: Hub, run: Run) -> None:
    write(hub, "us", "fridge: 4 days, freezer: 6 months")
    assert "keeps-past-guidance" not in {p["code"] for p in run("proof", hub.root)[1]["problems"]}


def test_dry_bars_are_not_what_the_advice_speaks_of(hub: Hub, run: Run) -> None:
    write(hub, "uk", "fridge: 7 days", title="Oat bars")
    page = (hub.root / "recipes/porridge.md").read_text()
    hub.write("recipes/porridge.md", page.replace("- 400 g test milk\n", "- 100 g test apple\n"))
    assert "keeps-past-guidance" not in {p["code"] for p in run("proof", hub.root)[1]["problems"]}


def test_the_page_says_the_advice_beside_the_authors_figure(hub: Hub, run: Run) -> None:
    write(hub, "us", "fridge: 6 days, freezer: 8 months")
    assert run("publish", hub.root)[0] == 0
    page = (hub.root / "published/recipes/porridge/index.html").read_text()
    assert "Guidance for left-overs: 3 to 4 days in the fridge, by USDA FSIS" in page
    assert "Guidance for left-overs: 2 to 6 months in the freezer, by USDA FSIS" in page
    write(hub, "us", "fridge: 4 days, freezer: 6 months")
    assert run("publish", hub.root)[0] == 0
    assert "Guidance for left-overs" not in (hub.root / "published/recipes/porridge/index.html").read_text()
