"""The smallest change that meets targets: against every possible change, through the engine, into the page's text."""

from __future__ import annotations

import json
import random
import re
import shutil
from datetime import date
from itertools import product
from pathlib import Path

import pytest

from gramwright import cli
from gramwright.prep import tune_solve
from gramwright.prep.tune import Move
from gramwright.prep.tune_rows import Lever, parse_asked, parse_finished
from gramwright.prep.tune_solve import Goal, Knob, solve
from gramwright.problems import ProblemLog, Trouble
from gramwright.publishing.tuning import rewritten, tune_recipe
from gramwright.reading.pages import read_page

ROOT = Path(__file__).resolve().parents[2]
DEMO = ROOT / "site_demo"
TODAY = date(2026, 11, 20)


@pytest.fixture(scope="module")
def hub(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo's foods and measures with two of its recipes."""
    root = tmp_path_factory.mktemp("tune") / "hub"
    root.mkdir()
    shutil.copy(DEMO / "hub.yaml", root / "hub.yaml")
    for folder in ("foods", "measures"):
        shutil.copytree(DEMO / folder, root / folder)
    (root / "recipes").mkdir()
    for name in ("lunch/boathouse-frittata", "breakfast/ebb-tide-oats"):
        shutil.copy(DEMO / "recipes" / f"{name}.md", root / "recipes" / f"{name.partition('/')[2]}.md")
    return root


def cost(counts: tuple[int, ...], knobs: list[Knob], weight_g: float) -> float:
    """The size of a change, from its definition."""
    rows = sum(abs(n) * knob.cost for n, knob in zip(counts, knobs, strict=True))
    moved = sum(n * knob.grams for n, knob in zip(counts, knobs, strict=True))
    return rows + 0.02 * sum(n != 0 for n in counts) + abs(moved) / weight_g


@pytest.mark.parametrize("seed", range(12))
def test_no_change_is_smaller_and_none_comes_nearer(seed: int) -> None:
    """Every change within the limits is tried."""
    dice = random.Random(seed)
    knobs = [
        Knob(-dice.randint(0, 3), dice.randint(1, 4), dice.uniform(0.05, 0.5), dice.uniform(5, 50)) for _ in range(4)
    ]
    goals = [
        Goal("PROCNT_g", 30.0, tuple(dice.uniform(-1, 6) for _ in knobs), 30 + dice.uniform(-5, 12), None),
        Goal("ENERC_kcal", 450.0, tuple(dice.uniform(-20, 60) for _ in knobs), None, 450 + dice.uniform(-80, 40)),
    ]

    def miss(counts: tuple[int, ...]) -> float:
        total = 0.0
        for goal in goals:
            at = goal.base + sum(s * n for s, n in zip(goal.slopes, counts, strict=True))
            below = 0.0 if goal.low is None else (goal.low - at) / goal.low
            above = 0.0 if goal.high is None else (at - goal.high) / goal.high
            total += max(0.0, below, above)
        return total

    every = list(product(*(range(knob.least, knob.most + 1) for knob in knobs)))
    least = min(miss(counts) for counts in every)
    best = min(cost(counts, knobs, 800.0) for counts in every if miss(counts) <= least + 1e-9)
    found = solve(knobs, goals, 800.0)
    assert found is not None
    assert miss(found) <= least + 1e-6
    assert cost(found, knobs, 800.0) <= best + 1e-4


@pytest.mark.parametrize("seed", range(12))
def test_a_weight_that_may_not_be_left_is_kept_by_the_best_that_keeps_it(seed: int) -> None:
    """Every change within the limits and the weight is tried."""
    dice = random.Random(100 + seed)
    knobs = [
        Knob(-dice.randint(0, 3), dice.randint(1, 4), dice.uniform(0.05, 0.5), dice.uniform(5, 50)) for _ in range(4)
    ]
    goal = Goal("PROCNT_g", 30.0, tuple(dice.uniform(-1, 6) for _ in knobs), 30 + dice.uniform(5, 25), None)
    low = dice.uniform(780, 820)
    within = Goal("finished_g", 800.0, tuple(knob.grams for knob in knobs), low, low + dice.uniform(0.5, 40))

    def miss(counts: tuple[int, ...]) -> float:
        return max(0.0, ((goal.low or 0.0) - goal.at(counts)) / goal.scale)

    every = [
        counts
        for counts in product(*(range(knob.least, knob.most + 1) for knob in knobs))
        if within.low is not None and within.high is not None and within.low <= within.at(counts) <= within.high
    ]
    found = solve(knobs, [goal], 800.0, within)
    assert (found is None) == (not every)
    if found is not None:
        assert found in every
        assert miss(found) <= min(miss(counts) for counts in every) + 1e-6


def test_whole_eggs_and_the_figures_of_the_engine(hub: Path) -> None:
    result = tune_recipe(hub, "boathouse-frittata", {"energy": "..360", "protein": "28.."}, [], TODAY)
    tuned = result.tuned
    assert tuned.met
    assert not result.written
    for one in tuned.reached:
        figure = tuned.label_after.per_portion[one.target.tag]
        assert one.after == figure.amount
        assert one.target.met(figure.amount)
    assert tuned.moves
    for move in tuned.moves:
        steps = (move.after - move.lever.amount) / move.lever.step
        assert steps == pytest.approx(round(steps), abs=1e-6)
        assert move.lever.low <= move.after <= move.lever.high
        if move.lever.name.startswith("Egg"):
            assert move.after == int(move.after)


def test_only_the_rows_asked_for_move_within_their_limits(hub: Path) -> None:
    asked = ["potatoes=300-400/10", "eggs=7-8"]
    result = tune_recipe(hub, "boathouse-frittata", {"energy": "..375"}, asked, TODAY)
    assert result.tuned.met
    names = {move.lever.name: move.after for move in result.tuned.moves}
    assert set(names) <= {"Potato, with skin, raw", "Egg, whole, raw"}
    assert all(300 <= after <= 400 and after % 10 == 0 for name, after in names.items() if name.startswith("Potato"))


def test_what_cannot_be_reached_says_how_near_it_comes(hub: Path) -> None:
    asked = ["potatoes=300-400"]
    result = tune_recipe(hub, "boathouse-frittata", {"protein": "60.."}, asked, TODAY, write=True)
    assert not result.tuned.met
    assert not result.written
    one = result.tuned.reached[0]
    assert one.fare == "missed"
    assert one.after is not None
    assert one.before is not None
    assert one.before <= one.after < 60


@pytest.mark.parametrize("slug", ["boathouse-frittata", "ebb-tide-oats"])
def test_the_nearest_point_lies_within_the_finished_weight(hub: Path, slug: str) -> None:
    free = tune_recipe(hub, slug, {"protein": "60.."}, [], TODAY).tuned
    assert free.before.finished_g is not None
    assert free.after.finished_g is not None
    most = free.before.finished_g + 40
    assert free.after.finished_g > most, "more than the tin holds"
    bound = tune_recipe(hub, slug, {"protein": "60.."}, [], TODAY, finished=f"..{most:g} g").tuned
    assert bound.after.finished_g is not None
    assert bound.after.finished_g <= most + 1e-6
    assert not bound.met
    before, near = bound.reached[0].before, bound.reached[0].after
    assert before is not None
    assert near is not None
    assert before < near < 60, "nearer than as it is, by what the tin holds"


def test_a_weight_that_no_row_comes_to_is_told_with_what_there_is(hub: Path) -> None:
    with pytest.raises(Trouble) as found:
        tune_recipe(hub, "boathouse-frittata", {"protein": "30.."}, ["eggs=7-9"], TODAY, finished="3 kg..")
    assert found.value.code == "weight-out-of-reach"
    low, high = (int(text) for text in re.findall(r"from (\d+) to (\d+) g", found.value.message)[0])
    assert 90 < high - low < 110, "two eggs of 50 g"
    assert "3000.. g" in found.value.message


def test_a_recipe_of_unknown_weight_has_none_to_keep(hub: Path, tmp_path: Path) -> None:
    root = tmp_path / "hub"
    shutil.copytree(hub, root)
    page = root / "recipes" / "boathouse-frittata.md"
    page.write_text(re.sub(r"^(finished_weight|yield): .*\n", "", page.read_text(), flags=re.MULTILINE))
    with pytest.raises(Trouble) as found:
        tune_recipe(root, "boathouse-frittata", {"protein": "30.."}, [], TODAY, finished="..900")
    assert found.value.code == "no-finished-weight"


@pytest.mark.parametrize(
    ("text", "span"),
    [
        ("1200..1500 g", (1200, 1500)), ("..1.5 kg", (None, 1500)), ("1.2..1.5 kg", (1200, 1500)),
        ("1400 g..", (1400, None)), ("900..", (900, None)),
    ],
)  # fmt: skip
def test_finished_weights_as_they_are_written(text: str, span: tuple[float | None, float | None]) -> None:
    assert tuple(parse_finished(text)) == span


@pytest.mark.parametrize("text", ["1400 g", "..", "1500..1200", "much..", "1 cup..", ""])
def test_finished_weights_that_are_none(text: str) -> None:
    with pytest.raises(Trouble) as found:
        parse_finished(text)
    assert found.value.code == "bad-weight"
    assert found.value.hint


def test_writing_changes_the_amounts_and_nothing_else(hub: Path, tmp_path: Path) -> None:
    root = tmp_path / "hub"
    shutil.copytree(hub, root)
    page = root / "recipes" / "boathouse-frittata.md"
    before = page.read_text()
    result = tune_recipe(root, "boathouse-frittata", {"energy": "..360"}, [], TODAY, write=True)
    assert result.written
    after = page.read_text()
    pairs = [(a, b) for a, b in zip(before.split("\n"), after.split("\n"), strict=True) if a != b]
    assert len(pairs) == len(result.tuned.moves)
    again = tune_recipe(root, "boathouse-frittata", {"energy": "..360"}, [], TODAY)
    assert again.tuned.moves == ()
    assert again.tuned.met
    assert again.tuned.reached[0].before == pytest.approx(result.tuned.reached[0].after, rel=1e-9)


def test_amounts_are_replaced_in_every_way_of_writing_rows() -> None:
    text = """---
title: Rows
portions: 2
---
```ingredients
- 160 g rolled oats; soaked in 160 g of water
- {food: almonds, amount: "40 g", note: 40 g or so}
- amount: 1 1/2 tbsp
  food: honey
- 2-3 medium apples
```

1. Stir 160 g of it.
"""
    page = read_page(text, "recipes/rows.md", ProblemLog())
    assert page is not None
    moves = [Move(Lever(i, "", "", 1, 1, 1, 1, 1), after) for i, after in enumerate((165.0, 35.0, 2.0, 2.0))]
    new = rewritten(text, moves, page)
    assert "- 165 g rolled oats; soaked in 160 g of water" in new
    assert '- {food: almonds, amount: "35 g", note: 40 g or so}' in new
    assert "- amount: 2 tbsp" in new
    assert "- 2 medium apples" in new
    assert new.endswith("1. Stir 160 g of it.\n")


@pytest.mark.parametrize(
    ("targets", "rows", "code"),
    [
        ({}, [], "no-targets"),
        ({"energy": "450"}, [], "bad-target"),
        ({"energy": "..much"}, [], "bad-target"),
        ({"energy": "..400"}, ["eggs=4-2"], "bad-rows"),
        ({"energy": "..400"}, ["eggs=2-4/0"], "bad-rows"),
        ({"energy": "..400"}, ["eggs=1-2"], "bad-rows"),
        ({"energy": "..400"}, ["saffron"], "unknown-row"),
    ],
)
def test_bad_questions_are_troubles(hub: Path, targets: dict[str, str], rows: list[str], code: str) -> None:
    with pytest.raises(Trouble) as found:
        tune_recipe(hub, "boathouse-frittata", targets, rows, TODAY)
    assert found.value.code == code
    assert found.value.hint


def test_an_unknown_recipe_names_the_nearest(hub: Path) -> None:
    with pytest.raises(Trouble) as found:
        tune_recipe(hub, "boathouse-fritata", {"energy": "..400"}, [], TODAY)
    assert found.value.code == "unknown-recipe"
    assert "boathouse-frittata" in found.value.hint


def test_without_the_optimiser_it_says_what_to_install(hub: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tune_solve, "available", lambda: False)
    with pytest.raises(Trouble) as found:
        tune_recipe(hub, "boathouse-frittata", {"energy": "..360"}, [], TODAY)
    assert found.value.code == "no-optimiser"
    assert "gramwright[optimise]" in found.value.hint


def test_limits_as_they_are_written() -> None:
    asked = parse_asked("rolled oats = 40-80/5")
    assert (asked.food, asked.low, asked.high, asked.step) == ("rolled oats", 40.0, 80.0, 5.0)
    assert parse_asked("semi-skimmed milk").food == "semi-skimmed milk"
    assert parse_asked("eggs=2-4").step is None


def test_the_command(hub: Path, capsys: pytest.CaptureFixture[str]) -> None:
    arguments = ["tune", str(hub), "boathouse-frittata", "--energy", "..360", "--protein", "28.."]
    assert cli.main([*arguments, "--format", "json"]) == 0
    data = json.loads(capsys.readouterr().out)
    assert data["possible"]
    assert not data["written"]
    assert {one["fare"] for one in data["targets"]} == {"met"}
    assert cli.main(arguments) == 0
    assert "nothing was written (--write does)" in capsys.readouterr().out
    assert cli.main([*arguments[:3], "--protein", "90.."]) == 1
    assert cli.main([*arguments, "--finished-weight", "heavy"]) == 2
    assert "impossible" in capsys.readouterr().out
    assert cli.main([*arguments[:3], "--protein", "60..", "--finished-weight", "..1100"]) == 1
    said = capsys.readouterr().out
    assert "impossible within these limits and a finished weight of ..1100 g; the nearest point" in said
    assert re.search(r"finished weight: \d+ -> (10\d\d|1100|[89]\d\d) g, within \.\.1100 g", said)
    assert cli.main(arguments[:3]) == 2


def test_rows_in_kilograms_move_by_five_grams(tmp_path: Path, hub: Path) -> None:
    root = tmp_path / "hub"
    shutil.copytree(hub, root)
    page = root / "recipes" / "boathouse-frittata.md"
    page.write_text(page.read_text().replace("400 g potatoes", "0.4 kg potatoes"))
    result = tune_recipe(root, "boathouse-frittata", {"energy": "..396"}, ["potatoes"], TODAY)
    (move,) = result.tuned.moves
    assert move.lever.unit == "kg"
    assert move.lever.step == 0.005
    assert result.tuned.met
    one = result.tuned.reached[0]
    assert one.after is not None
    less = one.after - 396
    assert -2 < less <= 0, "5 g of potato have 4 kcal, a quarter of that a portion"


def test_cost_and_claims_are_said_also_where_nothing_is_known_of_them(
    hub: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert cli.main(["tune", str(hub), "boathouse-frittata", "--energy", "..360"]) == 0
    said = capsys.readouterr().out
    assert "cost: not known" in said
    assert "claims: no change" in said
    assert cli.main(["tune", str(hub), "boathouse-frittata", "--fibre", "7.."]) == 0
    assert "'source of fibre' can now be said" in capsys.readouterr().out.partition("claims:")[2]
