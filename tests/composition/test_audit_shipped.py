"""The shipped table is clean, or its findings explained; and no explanation outlives its finding."""

from __future__ import annotations

import csv
from datetime import date
from pathlib import Path

import pytest

from gramwright.cli import main
from gramwright.composition.audit import audit
from gramwright.composition.audit.explained import load_shipped as load_explained
from gramwright.composition.audit.explained import sort_out
from gramwright.composition.library import load_shipped
from gramwright.problems import ProblemLog
from gramwright.publishing.auditing import audit_hub
from gramwright.reading import vocabulary

TODAY = date(2025, 11, 25)


def test_the_shipped_table_is_clean_and_every_explanation_needed() -> None:
    log = ProblemLog()
    foods, _ = load_shipped(vocabulary.load(), log)
    done = sort_out(audit(foods, TODAY), load_explained(log))
    assert [str(problem) for problem in log] == []
    assert [f"{one.food}: {one.code}: {one.message}" for one in done.open] == []
    assert [f"{one.food}: {one.code}" for one in done.unneeded] == []
    assert len(foods) > 1000


def test_every_explanation_names_the_publishers_code_of_its_food() -> None:
    log = ProblemLog()
    foods, _ = load_shipped(vocabulary.load(), log)
    codes = {food.id: food.source_ref for food in foods}
    for one in load_explained(log):
        assert len(one.reason) > 20
        if one.source.startswith("USDA SR28"):
            assert codes[one.food] in one.source, one.place


def test_the_demo_is_clean(capsys: pytest.CaptureFixture[str]) -> None:
    demo = Path(__file__).parents[2] / "site_demo"
    result = audit_hub(demo, TODAY)
    assert [one.message for one in result.findings] == []
    assert main(["foods", "audit", "--format", "json"]) == 0


def test_a_hub_explains_its_own_findings(tmp_path: Path) -> None:
    hub = tmp_path / "hub"
    assert main(["start", str(hub)]) == 0
    table = hub / "foods" / "odd.csv"
    table.write_text(
        "food,name,group,ENERC_kJ,PROCNT_g,FAT_g,CHOAVL_g,FIBTG_g,source,source_ref,quality,updated\n"
        "towpath-oil,Towpath oil,fats-and-oils,0,0,100,0,0,made up,1,table,2024-01-01\n",
        encoding="utf-8",
    )
    found = audit_hub(hub, TODAY)
    assert [(one.food, one.code, one.place.file, one.place.line) for one in found.findings] == [
        ("towpath-oil", "zero-energy", "foods/odd.csv", 2),
        ("towpath-oil", "outlier", "foods/odd.csv", 2),
    ]
    assert not found.clean
    assert [one["code"] for one in found.as_json()["problems"]] == ["zero-energy", "outlier"]
    (hub / "explained.csv").write_text(
        "food,code,reason,source\n"
        "towpath-oil,zero-energy,a joke,me\ntowpath-oil,outlier,a joke,me\ncod-raw,outlier,why,me\n",
        encoding="utf-8",
    )
    found = audit_hub(hub, TODAY)
    assert found.findings == ()
    assert [(p.code, p.place.file, p.place.line) for p in found.problems] == [
        ("unneeded-explanation", "explained.csv", 4)
    ]


def test_a_hub_that_replaces_a_shipped_food_does_not_inherit_its_explanation(tmp_path: Path) -> None:
    hub = tmp_path / "hub"
    assert main(["start", str(hub)]) == 0
    (hub / "foods" / "cocoa.csv").write_text(
        "food,name,group,ENERC_kJ,PROCNT_g,FAT_g,CHOAVL_g,FIBTG_g,source,source_ref,quality,updated\n"
        "cocoa-powder,Cocoa,chocolate-and-cocoa,300,20,14,21,37,made up,1,table,2024-01-01\n",
        encoding="utf-8",
    )
    assert ("cocoa-powder", "energy-mismatch") in [(one.food, one.code) for one in audit_hub(hub, TODAY).findings]


def test_the_command_ends_with_1_and_ranks_by_weight(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    hub = tmp_path / "hub"
    main(["start", str(hub)])
    with (hub / "foods" / "odd.csv").open("w", encoding="utf-8", newline="") as out:
        writer = csv.writer(out)
        writer.writerow(["food", "name", "ENERC_kJ", "FAT_g", "FASAT_g", "source", "source_ref"])
        writer.writerow(["a", "A", "0", "100", "10", "made up", "1"])
        writer.writerow(["b", "B", "", "10", "", "", ""])
        writer.writerow(["c", "C", "370", "-1", "", "made up", "1"])
    capsys.readouterr()
    assert main(["foods", "audit", str(hub)]) == 1
    text = capsys.readouterr().out
    assert "negative-value" in text  # such a cell never becomes a figure
    assert text.index("zero-energy") < text.index("no-source")
