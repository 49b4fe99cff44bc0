"""Takes the CSV text of foods and measures, gives Food and MeasureLine records; every bad cell is a located problem.

A place in a table is its line, and as column the number of the cell from 1.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import NamedTuple

from gramwright.model import Food
from gramwright.problems import Place, ProblemLog, Trouble
from gramwright.reading.cells import parse_cell
from gramwright.reading.csv_lines import Line, cells_ok, header_ok, lines_of, no_header
from gramwright.reading.fold import fold
from gramwright.reading.food_lines import Columns, FoodReader
from gramwright.reading.settings import CONVENTIONS
from gramwright.reading.vocabulary import Vocabulary

MEASURE_COLUMNS = ("food", "measure", "grams", "source", "volumes")


class MeasureLine(NamedTuple):
    """One line of a measures table: the grams of one `measure` of `food` (an id, or any name of it)."""

    food: str
    measure: str
    grams: float
    source: str
    place: Place
    volumes: str = ""
    """Whose spoons and cups it was weighed with ('us'); '': those that hold for its table."""


def read_foods(text: str, file: str, log: ProblemLog, vocabulary: Vocabulary, today: date | None = None) -> list[Food]:
    """The foods of one table, without the lines that have errors (those are logged).

    `today`: a date later than this is a problem; None does not look.
    """
    lines = lines_of(text, file, log)
    head = next(lines, None)
    if head is None:
        no_header(file, log, "food, name, ENERC_kJ, PROCNT_g ...")
        return []
    columns = Columns.of(head, file, log)
    if columns is None:
        return []
    reader = FoodReader(columns, file, log, vocabulary, "" if today is None else today.isoformat())
    foods: list[Food] = []
    for line in lines:
        food = reader.food(line)
        if food is not None:
            foods.append(food)
    return foods


def read_measures(text: str, file: str, log: ProblemLog) -> list[MeasureLine]:
    """The measures of one table, without the lines that have errors (those are logged)."""
    lines = lines_of(text, file, log)
    head = next(lines, None)
    if head is None:
        no_header(file, log, ", ".join(MEASURE_COLUMNS[:4]))
        return []
    if not header_ok(head, file, log, MEASURE_COLUMNS, ("food", "measure", "grams"), MEASURE_COLUMNS):
        return []
    at = {name: head.cells.index(name) for name in MEASURE_COLUMNS if name in head.cells}
    count = len(head.cells)
    seen: dict[tuple[str, str], int] = {}
    found: list[MeasureLine] = []
    for line in lines:
        measure = _measure(line, at, file, log) if cells_ok(line, count, file, log) else None
        if measure is None:
            continue
        key = (measure.food, fold(measure.measure))
        first = seen.setdefault(key, line.number)
        if first != line.number:
            log.error(
                measure.place,
                "duplicate-measure",
                f"expected '{measure.measure}' of {measure.food} once, found it again (first in line {first})",
                "keep one of the two",
            )
            continue
        found.append(measure)
    return found


def _measure(line: Line, at: Mapping[str, int], file: str, log: ProblemLog) -> MeasureLine | None:
    number, cells = line
    food, measure, weight = cells[at["food"]].strip(), cells[at["measure"]].strip(), cells[at["grams"]]
    for name, cell in (("food", food), ("measure", measure)):
        if not cell:
            log.error(
                Place(file, number, at[name] + 1), "missing-cell", f"expected a {name}, found an empty cell", "fill it"
            )
            return None
    try:
        value = parse_cell(weight)
    except Trouble as trouble:
        log.add(trouble.at(Place(file, number, at["grams"] + 1)))
        return None
    if value is None or not 0 < value.amount <= 100_000:
        log.error(
            Place(file, number, at["grams"] + 1),
            "bad-measure",
            f"expected the grams of one '{measure}', above 0, found '{weight.strip()}'",
            "weigh it, or delete the line",
        )
        return None
    source = cells[at["source"]].strip() if "source" in at else ""
    volumes = cells[at["volumes"]].strip() if "volumes" in at else ""
    if volumes and volumes not in CONVENTIONS:
        log.error(
            Place(file, number, at["volumes"] + 1),
            "unknown-choice",
            f"expected whose spoons and cups ({', '.join(CONVENTIONS)}) or nothing, found '{volumes}'",
            "empty: those of the hub",
        )
        return None
    return MeasureLine(food, measure, value.amount, source, Place(file, number), volumes)
