"""What the README shows can be typed as it stands: its recipe, its steps and its plan publish without a problem."""

from __future__ import annotations

import re
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
