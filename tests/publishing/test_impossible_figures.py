"""Figures that no food can have are refused where a hub's tables are opened: arithmetic, 100 g hold at most 100 g."""

from __future__ import annotations

from typing import Any

import pytest
from tests.publishing.hub_make import FOODS, Hub, Run, files_in

HEAD = "food,name,ENERC_kJ,PROCNT_g,FAT_g,CHOAVL_g,FIBTG_g,FASAT_g,NA_mg,FE_mg,source\n"


def said(data: dict[str, Any]) -> list[tuple[str, str, str, int]]:
    return [(one["severity"], one["code"], one["file"], one["line"]) for one in data["problems"]]


@pytest.mark.parametrize(
    ("row", "code"),
    [
        ("x,Xone,100,120,10,10,1,,,,me", "absurd-value"),
        ("x,Xone,100,,,,,,120000,,me", "absurd-value"),
        ("x,Xone,9000,,,,,,,,me", "absurd-value"),
        ("x,Xone,2000,40,40,30,1,,,,me", "parts-over-100"),
    ],
)
def test_what_cannot_be_is_an_error_at_its_line(hub: Hub, run: Run, row: str, code: str) -> None:
    hub.write("foods/x.csv", HEAD + row + "\n")
    # No explanation lets it pass.
    hub.write("explained.csv", f"food,code,reason,source\nx,{code},the pack says so,me\n")
    exit_code, data = run("proof", hub.root)
    assert exit_code != 0
    assert ("error", code, "foods/x.csv", 2) in said(data)
    assert all("correct the line" in one["hint"] for one in data["problems"] if one["severity"] == "error")


@pytest.mark.parametrize(
    ("row", "code"),
    [("x,Xone,500,1,5,10,1,9,,,me", "child-above-parent"), ("x,Xone,500,1,5,10,1,2,,200,me", "absurd-value")],
)
def test_what_can_hardly_be_is_a_warning_until_explained(hub: Hub, run: Run, row: str, code: str) -> None:
    hub.write("foods/x.csv", HEAD + row + "\n")
    exit_code, data = run("proof", hub.root)
    assert (exit_code, said(data)) == (0, [("warning", code, "foods/x.csv", 2)])
    assert "explained.csv" in data["problems"][0]["hint"]
    hub.write("explained.csv", f"food,code,reason,source\nx,{code},two samples,me\n")
    assert said(run("proof", hub.root)[1]) == []


def test_within_the_tolerance_nothing_is_said(hub: Hub, run: Run) -> None:
    """Rounded figures may add up to a little more than 100 g; saturates may exceed the fat by a rounding."""
    hub.write("foods/x.csv", HEAD + "x,Xone,1700,1,0.2,99,1.5,0.3,,,me\n")
    assert said(run("proof", hub.root)[1]) == []


@pytest.mark.parametrize("assignment", ["PROCNT_g=500", "CHOAVL_g=80"])
def test_a_correction_to_what_cannot_be_writes_nothing(hub: Hub, run: Run, assignment: str) -> None:
    assert ",12,7,1.2,58,1,9,5,oats" in FOODS
    before = files_in(hub.root)
    code, data = run("correct", hub.root, "test oats", assignment, "--reason", "a slip")
    assert code != 0
    assert data["problems"][0]["code"] in ("absurd-value", "parts-over-100")
    assert files_in(hub.root) == before
