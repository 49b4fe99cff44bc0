"""Generated hubs for measuring: N recipes of 12 rows over the shipped foods, the same for the same N."""

from __future__ import annotations

import csv
import random
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent

WORDS = """
slow quick winter summer harbour river oven pan tray pot bowl broth bake crisp green golden smoky sharp
sweet salted warm cold early late club crew morning evening plain deep bright dusky
""".split()

METHOD = """Text of the method with **some weight** on a word.

1. Heat the oven to 190 °C and oil a *wide* tin.
2. Mix everything from the first part, spread it out and bake for {minutes} minutes,
   until the edges colour and a knife goes in without a push.
3. Stir once, taste, and leave it to stand for five minutes.
4. Cool what is left within two hours, then keep it in the fridge.

> A note from the galley: it is better the next day.

- Serve it with something green.
- Or with nothing at all.
"""


def shipped_ids() -> list[str]:
    """Ids of shipped foods, sorted; spices, sweeteners and the like left in."""
    ids = []
    for table in sorted((ROOT / "content" / "foods").glob("*.csv")):
        lines = [line for line in table.read_text(encoding="utf-8").splitlines() if not line.startswith("#")]
        ids += [row["food"] for row in csv.DictReader(lines)]
    return sorted(ids)


def cupboard() -> list[str]:
    """What one kitchen cooks with: every sixth shipped food, some 180."""
    return shipped_ids()[::6]


def recipe(number: int, foods: list[str]) -> str:
    """The text of one recipe page."""
    chance = random.Random(number)
    title = " ".join(chance.sample(WORDS, 3)).capitalize() + f" {number}"
    rows = chance.sample(foods, 12)
    part_one = "".join(f"  - {chance.randint(4, 60) * 5} g {food}; cut small\n" for food in rows[:7])
    part_two = "".join(f"  - {chance.randint(1, 20) * 5} g {food}\n" for food in rows[7:11])
    part_two += f"  - {{amount: {chance.randint(1, 6) * 5} g, food: {rows[11]}, optional: true, note: to finish}}\n"
    minutes = chance.randint(4, 18) * 5
    return (
        f"---\ntitle: {title}\nsummary: Generated recipe number {number}, to measure with.\n"
        f"portions: {chance.randint(2, 8)}\nmeals: [{chance.choice(['breakfast', 'lunch', 'dinner', 'snack'])}]\n"
        f"hands_on: {chance.randint(2, 8) * 5} min\ntotal: {minutes + 40} min\nyield: 0.{chance.randint(75, 95)}\n"
        f"keeps: {{fridge: 3 days, freezer: 2 months}}\ntags: [{', '.join(chance.sample(WORDS, 2))}]\n---\n"
        f"A generated introduction of two lines that says nothing much\nabout dish {number}.\n\n"
        f"```ingredients\nFirst:\n{part_one}Second:\n{part_two}```\n\n" + METHOD.format(minutes=minutes)
    )


def write_hub(folder: Path, count: int) -> Path:
    """Writes a hub of `count` recipes into a folder that does not exist yet; gives the folder."""
    foods = cupboard()
    (folder / "recipes").mkdir(parents=True)
    # Share cards are measured by themselves (bench/card_bench.py): ten thousand of them would hide all else here.
    settings = 'title: Generated hub\nbase_url: "https://example.org/generated"\nshare_cards: no\n'
    (folder / "hub.yaml").write_text(settings, encoding="utf-8")
    for number in range(count):
        (folder / "recipes" / f"dish-{number:05d}.md").write_text(recipe(number, foods), encoding="utf-8")
    return folder
