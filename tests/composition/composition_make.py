"""A tiny food table of invented figures, and short ways to resolve rows with it."""

from __future__ import annotations

from pathlib import Path

from gramwright.composition.resolve import resolve
from gramwright.composition.table import FoodTable
from gramwright.composition.units import MeasureSystem
from gramwright.model import Dish, Ingredient, RecipePage, Weight
from gramwright.problems import Place, Problem, ProblemLog, Trouble
from gramwright.reading import vocabulary
from gramwright.reading.pages import read_page
from gramwright.reading.tables import read_foods, read_measures

HERE = Path(__file__).parent


def make_table(
    own_foods: str = "", own_measures: str = "", system: MeasureSystem | None = None, problems: bool = False
) -> FoodTable:
    """The tiny table, with a hub's own tables on top."""
    log = ProblemLog()
    words = vocabulary.load()
    foods = read_foods((HERE / "tiny-foods.csv").read_text(encoding="utf-8"), "tiny-foods.csv", log, words)
    lines = read_measures((HERE / "tiny-measures.csv").read_text(encoding="utf-8"), "tiny-measures.csv", log)
    own = read_foods(own_foods, "foods/own.csv", log, words) if own_foods else []
    own_lines = read_measures(own_measures, "measures/own.csv", log) if own_measures else []
    table = FoodTable(foods, lines, own, own_lines, system)
    found = [*log, *table.problems]
    if not problems:
        assert [str(problem) for problem in found] == []
    return table


def page_of(rows: str, portions: float = 4, slug: str = "tray") -> RecipePage:
    """A page with these rows (one a line, each after its '- ')."""
    log = ProblemLog()
    text = f"---\ntitle: Tray\nportions: {portions}\n---\n```ingredients\n{rows}\n```\n"
    page = read_page(text, f"recipes/{slug}.md", log)
    assert page is not None, [str(problem) for problem in log]
    return page


def dish(slug: str, raw_g: float, finished_g: float | None, portions: float) -> Dish:
    page = page_of("- 5 g salt", portions, slug)
    by = Weight.UNKNOWN if finished_g is None else Weight.MEASURED
    return Dish(page, (), raw_g, finished_g, by, {}, ())


def dish_of(slug: str) -> Dish:
    """Two recipes of a hub: a sauce that was weighed, a dough that was not."""
    if slug == "sauce":
        return dish("sauce", 1000, 800, 4)
    if slug == "dough":
        return dish("dough", 900, None, 3)
    if slug == "air":
        return dish("air", 0, None, 1)
    raise Trouble("unknown-recipe", f"expected the slug of a recipe, found '{slug}'", "sauce or dough")


def try_rows(
    rows: str, table: FoodTable, system: MeasureSystem | None = None, portions: float = 4
) -> tuple[tuple[Ingredient, ...] | None, list[Problem]]:
    log = ProblemLog()
    found = resolve(page_of(rows, portions), table, system or MeasureSystem.of(), log, dish_of)
    return found, list(log)


def row(text: str, table: FoodTable, system: MeasureSystem | None = None) -> Ingredient:
    """The one ingredient of a row that has no problem."""
    found, problems = try_rows(f"- {text}", table, system)
    assert [f"{problem.code}: {problem.message} ({problem.hint})" for problem in problems] == []
    assert found is not None
    return found[0]


def problem(text: str, table: FoodTable, system: MeasureSystem | None = None) -> Problem:
    """The one problem of a row."""
    found, problems = try_rows(f"- {text}", table, system)
    assert found is None
    assert len(problems) == 1, [str(one) for one in problems]
    only = problems[0]
    assert only.place == Place("recipes/tray.md", 6, 3)
    assert "expected" in only.message
    assert "found" in only.message
    assert only.hint
    return only
