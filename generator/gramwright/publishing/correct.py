"""Corrects figures of one food: changes the cells in the hub's table, logs it, says which recipes change and how.

A food of the hub's own is changed in place, a bought pack (foods/*.yaml) in the lines that it prints; a shipped one
gets a line in the hub's `foods/corrected.csv`, which then stands for it, with the shipped value kept beside it.
Everything is checked before a byte is written.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import Any, NamedTuple

from gramwright.model import KJ_PER_KCAL, Food
from gramwright.problems import Problem, ProblemLog, Trouble, near
from gramwright.publishing import pack_edit, table_edit
from gramwright.publishing.changes import Change, as_lines, change, in_order
from gramwright.publishing.hub import HubFiles, scan
from gramwright.publishing.keep_safe import replace_text
from gramwright.publishing.kitchen import Kitchen, open_kitchen
from gramwright.publishing.plan import slugs_of
from gramwright.publishing.plan_changes import plan_changes
from gramwright.publishing.plans import plan_facts
from gramwright.publishing.weigh import weigh
from gramwright.reading.cells import SALT_PER_SODIUM
from gramwright.reading.components import column_tag
from gramwright.reading.corrections import FILE, HEADER
from gramwright.reading.food_lines import PLAIN_COLUMNS
from gramwright.resources import content

OVERRIDES = "foods/corrected.csv"
OVERRIDES_HEAD = (
    "# Shipped foods with a figure corrected here. Each line stands for the shipped food of the same id;\n"
    "# the note keeps the shipped value. Written by `gramwright correct`, yours to edit.\n"
)
READ = "read"
FIXED = ("food", "name")
"""Columns that are no figure: changing them makes another food."""


class Cell(NamedTuple):
    """One corrected cell."""

    column: str
    old: str
    new: str


class _Unreadable(Exception):
    """The hub has errors, so nothing can be compared."""

    def __init__(self, problems: list[Problem], when: str) -> None:
        super().__init__(when)
        self.problems = problems
        self.when = when


class Corrected(NamedTuple):
    """What a correction did, or would do."""

    food: str
    name: str
    cells: tuple[Cell, ...]
    table: str
    changes: list[Change]
    problems: list[Problem]
    written: bool
    plans: Sequence[Change] = ()
    """What becomes of prep plans."""
    refused: str = ""
    """Why nothing could be corrected: the hub has errors, listed in `problems`."""

    def as_json(self) -> dict[str, Any]:
        return {
            "food": self.food,
            "corrected": [{"component": cell.column, "old": cell.old, "new": cell.new} for cell in self.cells],
            "table": self.table,
            "written": self.written,
            "recipes": [change.as_json() for change in self.changes],
            "plans": [change.as_json() for change in self.plans],
            "problems": [problem.as_json() for problem in self.problems],
        }

    def as_lines(self) -> list[str]:
        """What was corrected, then recipes and plans, weightiest first."""
        if self.refused:
            return []
        return [
            f"{self.name} ({self.food}) in {self.table}",
            *(f"    {cell.column}: {cell.old or 'not known'} -> {cell.new or 'not known'}" for cell in self.cells),
            *as_lines(in_order([*self.changes, *self.plans])),
        ]


def correct(
    root: Path,
    name: str,
    assignments: Sequence[str],
    *,
    reason: str,
    source: str,
    today: date,
    dry_run: bool = False,
) -> Corrected:
    """Changes `assignments` ('PROCNT_g=12.1') of the food `name`.

    Raises Trouble when the food, a column or a value is not right. When the hub has errors before or after, all of
    them come back with their places. Either way nothing is written.
    """
    if not reason.strip():
        raise Trouble("no-reason", "expected a reason for the log, found none", "--reason 'the new pack says so'")
    try:
        return _correct(root, name, assignments, reason, source, today, dry_run)
    except _Unreadable as found:
        return Corrected(name, name, (), "", [], found.problems, False, refused=found.when)


def _correct(
    root: Path, name: str, assignments: Sequence[str], reason: str, source: str, today: date, dry_run: bool
) -> Corrected:
    hub = scan(root)
    before = _open(hub, today, "before")
    food = before.table.lookup(name)
    table, line, text = _table_of(food, before)
    pack = not table.endswith(".csv")
    _check_line(food, table, line, text)
    cells: list[Cell] = []
    for assignment in assignments:
        cell = _pack_cell(text, line, assignment) if pack else _cell(food, text, line, assignment)
        if cell.column in {other.column for other in cells}:
            raise Trouble(
                "given-twice", f"expected each figure once, found '{cell.column}' twice", "give the one that is right"
            )
        cells.append(cell)
        change_in = pack_edit.set_line if pack else table_edit.set_cell
        text = change_in(text, line, cell.column, cell.new)
    if food.id not in before.own_foods:
        note = "; ".join(f"shipped {cell.column}: {cell.old or 'empty'}" for cell in cells)
        text = table_edit.set_cell(text, line, "note", note)
    entries = [[today.isoformat(), food.id, cell.column, cell.old, cell.new, reason, source] for cell in cells]
    log_text = _read(root / FILE) or HEADER + "\n"
    for entry in entries:
        log_text = table_edit.append_record(log_text, entry)
    after = _open(hub.with_files({table: text, FILE: log_text}), today, "after")
    problems = ProblemLog()
    changes = _changes(before, after, food.id, problems)
    if not dry_run:
        _write(root / table, text)
        _write(root / FILE, log_text)
    plans = plan_changes(plan_facts(before, ProblemLog()), plan_facts(after, problems))
    if pack and READ not in {cell.column for cell in cells}:
        _remind(food, problems)
    return Corrected(food.id, food.name, tuple(cells), table, changes, problems.sorted(), not dry_run, in_order(plans))


def _open(hub: HubFiles, today: date, when: str) -> Kitchen:
    log = ProblemLog()
    kitchen = open_kitchen(hub, today, log)
    if kitchen is None:
        raise _Unreadable(log.sorted(), when)
    return kitchen


def _table_of(food: Food, kitchen: Kitchen) -> tuple[str, int, str]:
    """(table inside the hub, line of the food in it, its text). A shipped food's line is laid out for the hub first."""
    root = kitchen.hub.root
    if food.id in kitchen.own_foods:
        return food.place.file, food.place.line, _read(root / food.place.file)
    shipped = (content().parent / food.place.file).read_text(encoding="utf-8")
    head = table_edit.header_of(shipped)
    cells = table_edit.cells_of(shipped, food.place.line)
    text = _read(root / OVERRIDES) or OVERRIDES_HEAD + ",".join((*head, "note")) + "\n"
    for column in head:
        if column not in table_edit.header_of(text):
            text = table_edit.add_column(text, column)
    own_head = table_edit.header_of(text)
    values = dict(zip(head, cells, strict=True))
    text = table_edit.append_record(text, [values.get(column, "") for column in own_head])
    return OVERRIDES, table_edit.last_line(text), text


def _check_line(food: Food, table: str, line: int, text: str) -> None:
    """The line found must be the food asked for. Raises Trouble 'table-changed'."""
    if table.endswith(".csv"):
        found = dict(zip(table_edit.header_of(text), table_edit.cells_of(text, line), strict=False)).get("food", "")
    else:
        found = pack_edit.read_entry(text, line).food
    if found.strip() != food.id:
        raise Trouble(
            "table-changed",
            f"expected '{food.id}' in line {line} of {table}, found '{found.strip()}'; nothing was written",
            "the table changed meanwhile: correct it again",
        )


def _pack_cell(text: str, line: int, assignment: str) -> Cell:
    """One 'KEY=VALUE' as the pack prints it, or 'TAG=VALUE' where it prints per 100 g."""
    entry = pack_edit.read_entry(text, line)
    key, value = pack_edit.printed(entry, assignment)
    old = entry.keys.get(key, "")
    _check_other(key, old, value)
    return Cell(key, old, value)


def _remind(food: Food, log: ProblemLog) -> None:
    """A figure read from a newer pack makes the date of reading one too."""
    log.warn(
        food.place,
        "read-date",
        f"expected the day on which the pack was read with the new figure, found 'read' still as before "
        f"({food.updated or 'no date'})",
        "where a new pack was read, correct that too: read=2025-03-31; its allergens count by that date",
    )


def _check_other(column: str, old: str, value: str) -> None:
    if old.strip() == value:
        raise Trouble(
            "nothing-to-correct", f"expected another value of {column}, found that it is '{old}' already", "look again"
        )


def _cell(food: Food, text: str, line: int, assignment: str) -> Cell:
    """One 'TAG=VALUE' against the food's table: the column it lands in, the old cell, the new one."""
    column, equals, value = assignment.partition("=")
    column, value = column.strip(), value.strip()
    if not equals or not column:
        raise Trouble("bad-assignment", f"expected TAG=VALUE, found '{assignment}'", "as in PROCNT_g=12.1")
    head = table_edit.header_of(text)
    if column in FIXED:
        raise Trouble("bad-assignment", f"expected a figure to correct, found '{column}'", "rename a food in its table")
    if column not in head and column not in PLAIN_COLUMNS:
        if column_tag(column) is None:
            close = near(column, [*head, *PLAIN_COLUMNS])
            hint = f"did you mean {', '.join(close)}?" if close else "a tag has its unit: PROCNT_g, NA_mg, ENERC_kJ"
            raise Trouble("unknown-component", f"expected a column or a tag of {food.id}, found '{column}'", hint)
        column, value = _other_unit(column, value, head)
    old = dict(zip(head, table_edit.cells_of(text, line), strict=True)).get(column, "")
    _check_other(column, old, value)
    return Cell(column, old.strip(), value)


def _other_unit(column: str, value: str, head: Sequence[str]) -> tuple[str, str]:
    """Energy and salt in the unit that the table has them in."""
    factors = {
        ("ENERC_kcal", "ENERC_kJ"): KJ_PER_KCAL,
        ("ENERC_kJ", "ENERC_kcal"): 1 / KJ_PER_KCAL,
        ("SALT_g", "NA_mg"): 1000 / SALT_PER_SODIUM,
    }
    for (given, stored), factor in factors.items():
        if column == given and stored in head:
            try:
                return stored, f"{float(value.replace(',', '.')) * factor:.6g}"
            except ValueError:
                raise Trouble("not-a-number", f"expected a number for {column}, found '{value}'", "as in 389") from None
    return column, value


def _changes(before: Kitchen, after: Kitchen, food: str, log: ProblemLog) -> list[Change]:
    """Every recipe that uses the food, before and after."""
    slugs = slugs_of(before.hub, None, log)
    old = {one.slug: one.facts for one in weigh(before, slugs, sorted(slugs.values()), log) if food in one.foods}
    new = {one.slug: one.facts for one in weigh(after, slugs, sorted(slugs[slug] for slug in old), log)}
    return in_order(one for slug in old if (one := change(old[slug], new.get(slug))) is not None)


BOM = "\ufeff"
"""Some editors begin a file with it; it is kept and never read."""


def _read(path: Path) -> str:
    """The text of a file without a byte order mark; '' when there is no file."""
    try:
        return path.read_bytes().decode("utf-8-sig")
    except FileNotFoundError:
        return ""


def _write(path: Path, text: str) -> None:
    """Puts a text in place; a byte order mark that the file had stays."""
    marked = path.exists() and path.read_bytes().startswith(BOM.encode())
    replace_text(path, BOM + text if marked else text)
