"""The commands as a newcomer calls them: start, proof, publish, foods; their output and exit codes."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest
from tests.publishing.hub_make import Hub, Run, files_in

from gramwright.cli import main

pytestmark = pytest.mark.long


def test_a_new_hub_publishes_at_once(tmp_path: Path, run: Run) -> None:
    folder = tmp_path / "new"
    code, data = run("start", folder)
    assert code == 0
    assert "hub.yaml" in data["created"]
    assert run("proof", folder) == (0, {"recipes": 1, "problems": []})
    code, data = run("publish", folder)
    assert (code, data["problems"], data["recipes"]) == (0, [], 1)
    assert (folder / "published" / "index.html").is_file()


def test_start_never_writes_over_anything(tmp_path: Path, run: Run) -> None:
    (tmp_path / "mine.txt").write_text("mine")
    code, data = run("start", tmp_path)
    assert code == 2
    assert data["problems"][0]["code"] == "not-empty"
    assert [path.name for path in tmp_path.iterdir()] == ["mine.txt"]


def test_publish_says_what_it_did(hub: Hub, run: Run) -> None:
    code, first = run("publish", hub.root)
    assert code == 0
    assert set(first) == {"pages", "recipes", "seconds", "problems"}
    assert first["recipes"] == 2
    assert first["pages"]["unchanged"] == first["pages"]["removed"] == 0
    pages = sum(path.endswith(".html") for path in hub.published())
    assert first["pages"]["written"] == pages
    code, second = run("publish", hub.root)
    assert second["pages"] == {"written": 0, "unchanged": pages, "removed": 0}


def test_an_id_in_a_row_is_shown_by_its_name(hub: Hub, run: Run) -> None:
    """In the list with the allergen marked, in what programs read, and in what the script shows."""
    hub.edit("recipes/porridge.md", "80 g test oats", "80 g test-oats; sifted")
    hub.edit("recipes/snacks/fruit-bowl.md", "amount: 10 g, food: test nuts", "amount: 10 g, food: test-nuts")
    code, data = run("publish", hub.root)
    assert code == 0, data
    porridge, bowl = (hub.published()[f"recipes/{slug}/index.html"].decode() for slug in ("porridge", "fruit-bowl"))
    assert "Test <strong>oats</strong>" in porridge
    assert '"80 g Test oats"' in porridge
    assert "Test nuts</a>" in bowl
    for page in (porridge, bowl):
        assert ">test-" not in page
        assert " test-" not in page


def test_an_edit_writes_what_it_touches_and_nothing_else(hub: Hub, run: Run) -> None:
    run("publish", hub.root)
    before = {path: (hub.site / path).stat().st_mtime_ns for path in hub.published()}
    hub.edit("recipes/snacks/fruit-bowl.md", "150 g test apple", "160 g test apple")
    code, data = run("publish", hub.root)
    assert code == 0
    after = {path: (hub.site / path).stat().st_mtime_ns for path in hub.published()}
    changed = {path for path in after if after[path] != before.get(path)}
    assert "recipes/fruit-bowl/facts.json" in changed
    assert "recipes/porridge/index.html" not in changed
    assert "recipes/porridge/facts.json" not in changed
    assert data["pages"]["written"] < data["pages"]["unchanged"] + data["pages"]["written"]


def test_a_correction_reaches_the_recipe_that_uses_the_recipe(hub: Hub, run: Run) -> None:
    run("publish", hub.root)
    bowl = hub.facts("fruit-bowl")["per_portion"]["PROCNT_g"]
    hub.edit("foods/own.csv", "270,88,3.4,", "270,88,4.4,")
    assert run("publish", hub.root)[0] == 0
    assert hub.facts("fruit-bowl")["per_portion"]["PROCNT_g"] == pytest.approx(bowl + 2.0)


def test_an_incremental_publish_equals_one_from_nothing(hub: Hub, run: Run, tmp_path: Path) -> None:
    run("publish", hub.root)
    hub.edit("foods/own.csv", ",walnut,", ",hazelnut,")
    hub.edit("recipes/porridge.md", "title: Porridge", "title: Oat porridge")
    hub.write("recipes/more.md", (hub.root / "recipes/porridge.md").read_text(encoding="utf-8").replace("Oat", "More"))
    assert run("publish", hub.root)[0] == 0
    assert run("publish", hub.root, "--out", tmp_path / "whole", "--all", "--workers", "2")[0] == 0
    assert files_in(tmp_path / "whole") == hub.published()


def test_removed_recipes_leave_the_site(hub: Hub, run: Run) -> None:
    run("publish", hub.root)
    (hub.root / "recipes/snacks/fruit-bowl.md").unlink()
    code, data = run("publish", hub.root)
    assert code == 0
    assert data["pages"]["removed"] >= 1
    assert not (hub.site / "recipes" / "fruit-bowl").exists()


def test_files_of_others_in_the_output_are_refused(hub: Hub, run: Run) -> None:
    hub.write("published/holiday.txt", "somebody's file")
    code, data = run("publish", hub.root)
    assert code == 1
    assert data["problems"][0]["code"] == "foreign-files"
    assert "holiday.txt" in data["problems"][0]["message"]
    assert set(hub.published()) == {"holiday.txt"}


@pytest.mark.parametrize("out", ["recipes", "recipes/site", ".", ".."])
def test_the_site_never_lies_over_the_hub(hub: Hub, run: Run, out: str) -> None:
    code, data = run("publish", hub.root, "--out", hub.root / out)
    assert code == 2
    assert data["problems"][0]["code"] == "output-in-hub"


def test_damaged_working_state_is_rebuilt(hub: Hub, run: Run) -> None:
    run("publish", hub.root)
    before = hub.published()
    state = hub.root / ".gramwright" / "state.json"
    for damage in (b"", b"rubbish", state.read_bytes()[:-40], state.read_bytes().replace(b"Porridge", b"Porrigde")):
        state.write_bytes(damage)
        assert run("publish", hub.root)[0] == 0
        assert hub.published() == before


def test_a_file_taken_out_of_the_site_comes_back(hub: Hub, run: Run) -> None:
    run("publish", hub.root)
    before = hub.published()
    (hub.site / "recipes" / "porridge" / "facts.json").unlink()
    hub.edit("recipes/snacks/fruit-bowl.md", "title: Fruit bowl", "title: Fruit bowl 2")
    assert run("publish", hub.root)[0] == 0
    assert {path for path in before if path.startswith("recipes/")} <= set(hub.published())


def test_a_machine_that_refuses_is_code_3(hub: Hub, run: Run, tmp_path: Path) -> None:
    if os.geteuid() == 0:
        out = Path("/proc/nowhere/site")
    else:
        out = tmp_path / "locked" / "site"
        out.parent.mkdir(mode=0o500)
    code, data = run("publish", hub.root, "--out", out)
    assert code == 3
    assert data["problems"][0]["code"] == "machine"


def test_wrong_usage_is_code_2() -> None:
    with pytest.raises(SystemExit) as caught:
        main(["publish"])
    assert caught.value.code == 2


def test_foods_are_found_and_shown(run: Run, capsys: pytest.CaptureFixture[str]) -> None:
    code, data = run("foods", "find", "olive")
    assert code == 0
    assert "olive-oil" in {food["food"] for food in data["foods"]}
    code, data = run("foods", "show", "olive-oil")
    assert code == 0
    assert data["food"]["per_100g"]["FAT_g"]["amount"] == pytest.approx(100, abs=1)
    assert main(["foods", "show", "olive-oil"]) == 0
    assert "USDA" in capsys.readouterr().out


def test_an_unknown_food_lists_the_nearest(run: Run) -> None:
    code, data = run("foods", "show", "olive oyl")
    assert code == 1
    assert "olive" in json.dumps(data["problems"][0])


def test_a_hub_food_shadows_a_shipped_one(hub: Hub, run: Run) -> None:
    hub.edit("foods/own.csv", "test-oats,Test oats", "olive-oil,Our own oil")
    assert run("foods", "show", "olive oil", hub.root)[1]["food"]["name"] == "Our own oil"


def test_two_publishes_at_once_the_second_is_refused(hub: Hub, run: Run) -> None:
    import fcntl

    (hub.root / ".gramwright").mkdir()
    with (hub.root / ".gramwright" / "lock").open("a") as handle:
        fcntl.flock(handle, fcntl.LOCK_EX)
        code, data = run("publish", hub.root)
    assert code == 3
    assert data["problems"][0]["code"] == "publish-running"
    assert run("publish", hub.root)[0] == 0


def test_every_allergen_cell_has_a_reason(hub: Hub, run: Run) -> None:
    code, data = run("proof", hub.root, "--allergens")
    assert code == 0
    assert data["allergens"]["porridge"]["milk"] == "contains"
    assert data["allergens"]["porridge"]["eggs"] == "not_recorded"
    code, why = run("proof", hub.root, "--why", "fruit-bowl", "milk")
    assert (code, why["state"]) == (0, "contains")
    (because,) = why["because"]
    assert because["food"] == "test-milk"
    assert because["table"] == "foods/own.csv:3"
    assert because["row"].startswith("recipes/porridge.md:14")
    code, data = run("proof", hub.root, "--why", "fruit-bowl", "mlik")
    assert code == 1
    assert "milk" in data["problems"][0]["hint"]
