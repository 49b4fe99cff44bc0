"""A small hub of its own foods, and the command as a function."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from gramwright.cli import main

HUB = """title: Test hub
base_url: https://example.org/hub/
"""

PORRIDGE = """---
title: Porridge
summary: Oats and milk.
portions: 2
meals: [breakfast]
hands_on: 5 min
total: 10 min
finished_weight: 500 g
---
Warm and plain.

```ingredients
- 80 g test oats
- 400 g test milk
- salt, to taste
```

1. Stir for ten minutes.
"""

BOWL = """---
title: Fruit bowl
portions: 1
meals: [breakfast, snack]
---
```ingredients
Bowl:
  - 150 g test apple
  - {recipe: porridge, amount: 1 portion}
To finish:
  - {amount: 10 g, food: test nuts, optional: true}
```

1. Put it in a bowl.
"""

FOODS = (
    "food,name,aliases,group,state,refuse_pct,density_g_ml,ENERC_kJ,WATER_g,PROCNT_g,FAT_g,FASAT_g,CHOAVL_g,SUGAR_g,"
    "FIBTG_g,NA_mg,contains,may_contain,allergens_checked,kind,source,source_ref,quality,updated\n"
    "test-oats,Test oats,,cereals,dry,0,,1550,9,12,7,1.2,58,1,9,5,oats,,yes,plant,made up for a test,1,table,\n"
    "test-milk,Test milk,,dairy,liquid,0,1.03,270,88,3.4,3.6,2.3,4.8,4.8,0,43,milk,,yes,milk,made up,2,table,\n"
    "test-apple,Test apple,,fruit,raw,10,,220,86,0.3,0.2,,12,10,2,1,,,yes,plant,made up for a test,3,table,\n"
    "test-nuts,Test nuts,,nuts,dry,0,,2600,4,15,61,5,7,4,9,3,walnut,,,plant,made up for a test,4,estimated,\n"
)


def files_in(folder: Path) -> dict[str, bytes]:
    """Every file below a folder by its path inside it."""
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


@dataclass(frozen=True)
class Hub:
    root: Path

    @property
    def site(self) -> Path:
        return self.root / "published"

    def write(self, name: str, text: str | bytes) -> None:
        path = self.root / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(text if isinstance(text, bytes) else text.encode())

    def edit(self, name: str, old: str, new: str) -> None:
        text = (self.root / name).read_text(encoding="utf-8")
        assert old in text
        self.write(name, text.replace(old, new))

    def published(self) -> dict[str, bytes]:
        """Everything in the site by path."""
        return files_in(self.site)

    def facts(self, slug: str) -> dict[str, Any]:
        data: dict[str, Any] = json.loads((self.site / "recipes" / slug / "facts.json").read_text(encoding="utf-8"))
        return data


@pytest.fixture
def hub(tmp_path: Path) -> Hub:
    """Two recipes (one uses the other), four foods of its own."""
    hub = Hub(tmp_path / "hub")
    hub.write("hub.yaml", HUB)
    hub.write("recipes/porridge.md", PORRIDGE)
    hub.write("recipes/snacks/fruit-bowl.md", BOWL)
    hub.write("foods/own.csv", FOODS)
    return hub


Run = Callable[..., tuple[int, dict[str, Any]]]


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Run:
    """Runs a command with --format json; gives its exit code and what it printed."""

    def run(*arguments: object) -> tuple[int, dict[str, Any]]:
        code = main([*map(str, arguments), "--format", "json"])
        data: dict[str, Any] = json.loads(capsys.readouterr().out)
        return code, data

    return run
