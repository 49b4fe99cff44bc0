"""What the README shows can be typed as it stands: recipe, steps, plan and pack publish without a problem."""

from __future__ import annotations

import json
import re
from datetime import date
from pathlib import Path

import pytest
from tests.publishing.hub_make import Run

pytestmark = pytest.mark.long

README = Path(__file__).resolve().parents[2] / "README.md"


def test_the_readme_s_pages_publish(tmp_path: Path, run: Run) -> None:
    recipe, steps, plan = re.findall(r"````markdown\n(.*?)````", README.read_text(encoding="utf-8"), re.DOTALL)
    hub = tmp_path / "hub"
    assert run("start", hub)[0] == 0
    (hub / "recipes" / "tray.md").write_text(recipe + "\n" + steps, encoding="utf-8")
    (hub / "plans").mkdir()
    (hub / "plans" / "two.md").write_text(plan.replace("lentil-pot", "tray"), encoding="utf-8")
    code, data = run("publish", hub)
    assert (code, data["problems"]) == (0, [])
    assert (hub / "published" / "plans" / "two" / "index.html").is_file()


def test_the_readme_s_pack_is_a_food(tmp_path: Path, run: Run) -> None:
    (pack,) = re.findall(r"```yaml\n(.*?)```", README.read_text(encoding="utf-8"), re.DOTALL)
    hub = tmp_path / "hub"
    assert run("start", hub)[0] == 0
    read_today = re.sub(r"read: \S+", f"read: {date.today()}", pack)
    (hub / "foods" / "packs.yaml").write_text(read_today, encoding="utf-8")
    page = hub / "recipes" / "lentil-pot.md"
    page.write_text(
        page.read_text(encoding="utf-8").replace(
            "  - 900 g water\n", "  - 900 g water\n  - 2 scoops oat shake powder\n"
        ),
        encoding="utf-8",
    )
    code, data = run("publish", hub)
    assert (code, data["problems"]) == (0, [])
    facts = json.loads((hub / "published" / "recipes" / "lentil-pot" / "facts.json").read_text(encoding="utf-8"))
    assert {"oats", "milk"} <= set(facts["allergens"]["contains"])
    assert "soybeans" in facts["allergens"]["may_contain"]
