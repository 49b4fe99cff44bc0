"""`also_rules` in hub.yaml: what is wrong with it is told where it stands, and a publish notices it and its files."""

from __future__ import annotations

import shutil
from datetime import date
from pathlib import Path

import pytest
from tests.publishing.hub_make import HUB, Hub, Run

from gramwright import resources
from gramwright.labelling import rulesets, shipped_data
from gramwright.publishing import house
from gramwright.publishing.build import publish

TODAY = date(2026, 11, 25)
PAGE = "recipes/porridge/index.html"


@pytest.mark.parametrize(
    ("line", "code", "column"),
    [
        ("also_rules: [us, codx]", "unknown-rule-set", 18),
        ("also_rules: codx", "unknown-rule-set", 13),
        ("also_rules: [us, eu]", "duplicate-rule-set", 18),
        ("also_rules: [us, anz, US]", "duplicate-rule-set", 23),
        ("also_rules: [us, [anz]]", "unknown-rule-set", 18),
        ("also_rules: {us: yes}", "wrong-type", 13),
    ],
)
def test_what_is_wrong_is_located(hub: Hub, run: Run, line: str, code: str, column: int) -> None:
    hub.write("hub.yaml", f"{HUB}{line}\n")
    status, data = run("proof", hub.root)
    (problem,) = [each for each in data["problems"] if each["severity"] == "error"]
    assert (status, problem["code"], problem["file"], problem["line"], problem["column"]) == (
        1, code, "hub.yaml", 3, column,
    )  # fmt: skip
    assert problem["hint"]


def test_several_are_told_at_once(hub: Hub, run: Run) -> None:
    hub.write("hub.yaml", f"{HUB}also_rules: [codx, mars]\n")
    _, data = run("proof", hub.root)
    assert [each["code"] for each in data["problems"] if each["severity"] == "error"] == ["unknown-rule-set"] * 2


def test_a_publish_notices_the_setting(hub: Hub) -> None:
    publish(hub.root, TODAY, workers=1)
    before = (hub.site / PAGE).read_text(encoding="utf-8")
    hub.write("hub.yaml", f"{HUB}also_rules: [us]\n")
    assert not publish(hub.root, TODAY, workers=1).has_errors
    with_us = (hub.site / PAGE).read_text(encoding="utf-8")
    assert 'id="by-us"' in with_us
    assert "rules-us" in (hub.site / "method/index.html").read_text(encoding="utf-8")
    hub.write("hub.yaml", f"{HUB}also_rules: [us, anz]\n")
    publish(hub.root, TODAY, workers=1)
    assert 'id="by-anz"' in (hub.site / PAGE).read_text(encoding="utf-8")
    hub.write("hub.yaml", HUB)
    publish(hub.root, TODAY, workers=1)
    assert (hub.site / PAGE).read_text(encoding="utf-8") == before


def test_figures_and_problems_of_the_hub_stay_as_they_are(hub: Hub, run: Run) -> None:
    """A claim that the further rule set does not know is no problem of the page; facts.json is the hub's own law's."""
    hub.edit("recipes/porridge.md", "portions: 2\n", "portions: 2\nclaims: [source of protein]\n")
    _, plain = run("publish", hub.root)
    facts = (hub.site / "recipes/porridge/facts.json").read_bytes()
    hub.write("hub.yaml", f"{HUB}also_rules: [za, us]\n")
    _, data = run("publish", hub.root)
    assert data["problems"] == plain["problems"]
    assert (hub.site / "recipes/porridge/facts.json").read_bytes() == facts


def test_a_publish_notices_a_change_in_a_further_rule_sets_file(
    hub: Hub, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The shipped knowledge is copied, and a name in the copy changed: the table follows at the next publish."""
    shipped = tmp_path / "content"
    shutil.copytree(resources.content(), shipped)

    def forget() -> None:
        rulesets.load.cache_clear()
        shipped_data.read_yaml.cache_clear()
        house._program_lines.cache_clear()

    for module in (resources, house, shipped_data):
        monkeypatch.setattr(module, "content", lambda: shipped)
    forget()
    try:
        hub.write("hub.yaml", f"{HUB}also_rules: [us]\n")
        assert publish(hub.root, TODAY, workers=1).written
        before = (hub.site / PAGE).read_text(encoding="utf-8")
        assert publish(hub.root, TODAY, workers=1).written == 0
        forget()
        rules = shipped / "labelling/us.yaml"
        text = rules.read_text(encoding="utf-8")
        assert "name: Sodium" in text
        rules.write_text(text.replace("name: Sodium", "name: Sodium as tried"), encoding="utf-8")
        assert publish(hub.root, TODAY, workers=1).written
        after = (hub.site / PAGE).read_text(encoding="utf-8")
        assert "Sodium as tried" in after
        assert "Sodium as tried" not in before
    finally:
        monkeypatch.undo()
        forget()
