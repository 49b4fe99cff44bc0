"""A publish that does only what is needed gives the site that one from nothing gives, byte for byte.

Random edits in random order: recipes added, renamed, edited, deleted; foods corrected, added, removed; measures, words,
templates, style, settings and rule set changed; corrections logged. After each the incremental site is compared with
one made from nothing. GRAMWRIGHT_SEQUENCES sets how many sequences are tried.
"""

from __future__ import annotations

import os
import random
import shutil
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from tests.publishing.hub_make import BOWL, PORRIDGE, Hub, files_in

from gramwright.publishing.build import publish

pytestmark = pytest.mark.long

SEQUENCES = int(os.environ.get("GRAMWRIGHT_SEQUENCES", "10"))
EDITS = 5
TODAY = date(2026, 11, 25)


def pages(hub: Hub) -> list[Path]:
    return sorted((hub.root / "recipes").rglob("*.md"))


def add_recipe(hub: Hub, chance: random.Random) -> None:
    number = chance.randint(100, 999)
    text = PORRIDGE.replace("Porridge", f"Porridge {number}").replace("80 g", f"{chance.randint(20, 200)} g")
    if chance.random() < 0.5:
        text = text.replace("Warm and plain.", "As [the first one](porridge.md).")
    hub.write(f"recipes/more-{number}.md", text)


def add_user(hub: Hub, chance: random.Random) -> None:
    hub.write(f"recipes/bowl-{chance.randint(100, 999)}.md", BOWL.replace("150 g", f"{chance.randint(50, 300)} g"))


def edit_recipe(hub: Hub, chance: random.Random) -> None:
    page = chance.choice(pages(hub))
    text = page.read_text(encoding="utf-8")
    page.write_text(text.replace("1. ", f"1. ({chance.randint(1, 99)}) ", 1), encoding="utf-8")


def delete_recipe(hub: Hub, chance: random.Random) -> None:
    spare = [page for page in pages(hub) if page.stem != "porridge"]
    if spare:
        chance.choice(spare).unlink()


def rename_recipe(hub: Hub, chance: random.Random) -> None:
    spare = [page for page in pages(hub) if page.stem != "porridge"]
    if spare:
        page = chance.choice(spare)
        page.rename(page.with_name(f"renamed-{chance.randint(100, 999)}.md"))


def correct_food(hub: Hub, chance: random.Random) -> None:
    path = hub.root / "foods/own.csv"
    lines = path.read_text(encoding="utf-8").splitlines()
    row = chance.randrange(1, 5)
    cells = lines[row].split(",")
    cells[9] = f"{chance.randint(10, 34) / 10}"  # more would not fit beside what else is in milk
    lines[row] = ",".join(cells)
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")


def allergen(hub: Hub, chance: random.Random) -> None:
    text = (hub.root / "foods/own.csv").read_text(encoding="utf-8")
    old, new = chance.choice([(",walnut,", ",hazelnut,"), (",hazelnut,", ",walnut,"), (",oats,", ",oats;wheat,")])
    hub.write("foods/own.csv", text.replace(old, new))


def alias(hub: Hub, chance: random.Random) -> None:
    """A hub food takes a name that recipes use for a shipped one, or gives it back."""
    name = "foods/alias.csv"
    if (hub.root / name).exists():
        (hub.root / name).unlink()
    else:
        hub.write(name, f"food,name,aliases,ENERC_kJ,NA_mg\nour-salt,Our salt,salt,0,{chance.randint(30000, 39000)}\n")


def measure(hub: Hub, chance: random.Random) -> None:
    hub.write("measures/own.csv", f"food,measure,grams,source\ntest-apple,each,{chance.randint(90, 200)},weighed\n")


def override_shipped(hub: Hub, chance: random.Random) -> None:
    hub.write("foods/salt.csv", f"food,name,aliases,ENERC_kJ,NA_mg\nsalt,Salt,,0,{chance.randint(30000, 39000)}\n")


def settings(hub: Hub, chance: random.Random) -> None:
    hub.write("hub.yaml", f"title: Hub {chance.randint(1, 9)}\nbase_url: https://example.org/hub/\n")


def rule_set(hub: Hub, chance: random.Random) -> None:
    hub.write("hub.yaml", f"title: Hub\nrule_set: {chance.choice(['eu', 'us', 'anz', 'codex'])}\n")


def words(hub: Hub, chance: random.Random) -> None:
    hub.write("theme/words/en.yaml", f"recipe:\n  method: Way {chance.randint(1, 99)}\n")


def style(hub: Hub, chance: random.Random) -> None:
    hub.write("theme/style/own.css", f"body {{ margin-top: {chance.randint(1, 99)}px }}\n")


def log(hub: Hub, chance: random.Random) -> None:
    day = f"2026-1{chance.randint(0, 1)}-{chance.randint(10, 24)}"
    entry = f"{day},test-milk,FAT_g,{chance.randint(1, 5)},3.6,read again,\n"
    path = hub.root / "corrections.csv"
    head = path.read_text(encoding="utf-8") if path.exists() else "date,food,component,old,new,reason,source\n"
    path.write_text(head + entry, encoding="utf-8")


ALL: list[Callable[[Hub, random.Random], None]] = [
    add_recipe,
    add_user,
    edit_recipe,
    delete_recipe,
    rename_recipe,
    correct_food,
    allergen,
    alias,
    measure,
    override_shipped,
    settings,
    rule_set,
    words,
    style,
    log,
]


@pytest.mark.parametrize("seed", range(SEQUENCES))
def test_incremental_equals_from_nothing(hub: Hub, tmp_path: Path, seed: int) -> None:
    chance = random.Random(seed)
    hub.edit("recipes/snacks/fruit-bowl.md", "150 g test apple", "1 test apple")
    hub.write("measures/own.csv", "food,measure,grams,source\ntest-apple,each,150,weighed\n")
    publish(hub.root, TODAY, workers=1)
    for _ in range(EDITS):
        edit = chance.choice(ALL)
        edit(hub, chance)
        step = publish(hub.root, TODAY, workers=1)
        assert not step.has_errors, (edit.__name__, step.problems)
        whole = tmp_path / "whole"
        shutil.rmtree(whole, ignore_errors=True)
        state = (hub.root / ".gramwright/state.json").read_bytes()
        assert not publish(hub.root, TODAY, out=whole, everything=True, workers=1).has_errors
        (hub.root / ".gramwright/state.json").write_bytes(state)
        assert files_in(whole) == hub.published(), edit.__name__


@pytest.mark.parametrize("lost", ["index.html", "recipes/porridge", "search", "recipes/porridge/facts.json"])
def test_what_somebody_took_away_is_made_again(hub: Hub, lost: str) -> None:
    """The output may be deleted at any time, a part of it too, with nothing else changed."""
    publish(hub.root, TODAY, workers=1)
    whole = {path: path.read_bytes() for path in sorted(hub.site.rglob("*")) if path.is_file()}
    gone = hub.site / lost
    shutil.rmtree(gone) if gone.is_dir() else gone.unlink()
    assert not publish(hub.root, TODAY, workers=1).has_errors
    assert {path: path.read_bytes() for path in sorted(hub.site.rglob("*")) if path.is_file()} == whole
