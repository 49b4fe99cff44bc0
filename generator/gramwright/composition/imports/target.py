"""Takes imported rows and the table that stands there already, gives the new text of the table.

A table is only ever rewritten when its head says that the same import wrote it. Rows are found by their id: figures
and sources come from the import, everything that the author wrote (names, aliases, groups, states, allergens, kinds,
columns of their own, further rows and comments) stays.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from gramwright.composition.imports.mapping import NUMBERS, ImportMapping
from gramwright.composition.imports.records import Cells, Imported
from gramwright.problems import ProblemLog, Trouble
from gramwright.reading.csv_lines import lines_of
from gramwright.reading.fold import fold

MARK = "# import: "
FIRST = ("food", "name", "aliases", "group", "state", *NUMBERS)
LAST = ("contains", "may_contain", "allergens_checked", "kind", "source", "source_ref", "quality", "updated")
MEASURES = ("food", "measure", "grams", "source", "volumes")
OF_THE_IMPORT = {"source", "source_ref", "quality", "updated"}
"""Text columns that an import brings up to date; all others are the author's once they are filled."""


@dataclass(frozen=True, slots=True)
class Merged:
    """The new text of a table and what became of its rows."""

    text: str
    added: int
    updated: int
    unchanged: int
    kept: int
    """Rows that the import does not know: the author's, or gone from the publisher's table."""
    held: tuple[tuple[str, str], ...] = ()
    """(food, column) of corrected cells that were left although the publisher says something else."""


@dataclass(slots=True)
class _Standing:
    """The table that is there."""

    heads: list[str] = field(default_factory=list)
    comments: list[str] = field(default_factory=list)
    """Lines before the header."""
    rows: dict[str, Cells] = field(default_factory=dict)
    """By key, in their order."""
    remarks: dict[str, list[str]] = field(default_factory=dict)
    """Comment lines by the key of the row below them; '' for those at the end."""


def check_target(before: str | None, mapping: ImportMapping, file: str) -> None:
    """Whether the import may write here at all. Raises Trouble 'target-exists', 'target-unreadable'."""
    _standing(before, mapping, file, lambda row: row.get("food", "") + "\0" + fold(row.get("measure", "")))


def merge_foods(
    imported: Imported,
    mapping: ImportMapping,
    before: str | None,
    file: str,
    corrected: Mapping[tuple[str, str], str] | None = None,
) -> Merged:
    """The foods table. Raises Trouble 'target-exists', 'target-unreadable'.

    `corrected`: (food, column) -> the cell that the hub's log of corrections put there. Such a cell stays, as long as
    it still is what the log says; (food, column) is then in `Merged.held`.
    """
    held: list[tuple[str, str]] = []
    there = _standing(before, mapping, file, lambda row: row.get("food", ""))
    filled = {name for row in (*imported.foods, *there.rows.values()) for name, cell in row.items() if cell}
    components = [name for name in imported.columns if name not in NUMBERS and name in filled]
    heads = [*FIRST, *components]
    heads += [name for name in there.heads if name not in heads and name not in LAST]
    heads += [name for name in sorted(filled) if name not in heads and name not in LAST]
    heads += LAST
    figures = {*imported.columns, *OF_THE_IMPORT}

    def updated(old: Cells, new: Cells) -> Cells:
        row = dict(old)
        for name in heads:
            key = (new["food"], name)
            if corrected and key in corrected and old.get(name, "").strip() == corrected[key]:
                if new.get(name, "") != old.get(name, ""):
                    held.append(key)
                continue
            if (name in figures and not (name in NUMBERS and name not in new)) or not row.get(name):
                row[name] = new.get(name, "")
        return row

    keyed = {row["food"]: row for row in imported.foods}
    merged = _merged(there, keyed, heads, updated, there.comments or _foods_head(mapping))
    return replace(merged, held=tuple(held))


def merge_measures(imported: Imported, mapping: ImportMapping, before: str | None, file: str) -> Merged:
    """The measures table; of two portions of one name the first counts. Raises Trouble as `merge_foods`."""
    there = _standing(before, mapping, file, lambda row: f"{row.get('food', '')}\0{fold(row.get('measure', ''))}")
    keyed: dict[str, Cells] = {}
    for line in imported.measures:
        row = {"food": line.food, "measure": line.measure, "grams": line.grams, "source": line.source}
        row["volumes"] = mapping.volumes
        key = f"{line.food}\0{fold(line.measure)}"
        if key in keyed:
            imported.pass_over("portions of a name that the food has already")
        keyed.setdefault(key, row)
    heads = [*MEASURES, *(name for name in there.heads if name not in MEASURES)]
    return _merged(there, keyed, heads, lambda old, new: {**old, **new}, there.comments or _measures_head(mapping))


def _merged(
    there: _Standing,
    new: Mapping[str, Cells],
    heads: Sequence[str],
    updated: Callable[[Cells, Cells], Cells],
    comments: Iterable[str],
) -> Merged:
    added = changed = unchanged = kept = 0
    out = io.StringIO()
    out.writelines(f"{line}\n" for line in comments)
    writer = csv.DictWriter(out, heads, restval="", extrasaction="ignore", lineterminator="\n")
    writer.writeheader()
    for key, old in there.rows.items():
        out.writelines(f"{line}\n" for line in there.remarks.get(key, ()))
        if key not in new:
            kept += 1
            writer.writerow(old)
            continue
        row = updated(old, new[key])
        if any(row.get(name, "") != old.get(name, "") for name in heads):
            changed += 1
        else:
            unchanged += 1
        writer.writerow(row)
    for key, row in new.items():
        if key not in there.rows:
            added += 1
            writer.writerow(row)
    out.writelines(f"{line}\n" for line in there.remarks.get("", ()))
    return Merged(out.getvalue(), added, changed, unchanged, kept)


def _standing(before: str | None, mapping: ImportMapping, file: str, key_of: Callable[[Cells], str]) -> _Standing:
    """Reads the table that is there. Raises Trouble 'target-exists' when another hand wrote it, 'target-unreadable'."""
    there = _Standing()
    if before is None or not before.strip():
        return there
    if f"{MARK}{mapping.id}" not in before.splitlines():
        raise Trouble(
            "target-exists",
            f"expected a new table, or one that '{mapping.id}' wrote, found another one at {file}",
            "name another file; nothing was written",
        )
    log = ProblemLog()
    lines = list(lines_of(before, file, log))
    there.heads = lines[0].cells if lines else []
    starts: list[tuple[int, str]] = []
    for line in lines[1:]:
        row = dict(zip(there.heads, line.cells, strict=False))
        key = key_of(row)
        if len(line.cells) != len(there.heads) or key in there.rows:
            raise _unreadable(file, line.number, "another number of cells than heads, or a row that was there before")
        there.rows[key] = row
        starts.append((line.number, key))
    for problem in log:
        raise _unreadable(file, problem.place.line, problem.message)
    _keep_comments(there, before, lines[0].number if lines else 1, starts)
    return there


def _keep_comments(there: _Standing, before: str, head: int, starts: list[tuple[int, str]]) -> None:
    """Comment lines above the header, and each further one with the row below it."""
    inside_quotes = False
    for number, line in enumerate(before.split("\n"), 1):
        if not inside_quotes and line.startswith("#"):
            if number < head:
                there.comments.append(line)
            else:
                below = next((key for start, key in starts if start > number), "")
                there.remarks.setdefault(below, []).append(line)
        elif line.count('"') % 2:
            inside_quotes = not inside_quotes


def _unreadable(file: str, line: int, what: str) -> Trouble:
    return Trouble(
        "target-unreadable",
        f"expected the table that the import wrote, found in {file}, line {line}: {what}",
        "mend the line, or name another file; nothing was written",
    )


def _foods_head(mapping: ImportMapping) -> list[str]:
    return [
        f"# Foods of {mapping.name}, figures per 100 g edible portion, as published.",
        "# Cells: a number; 0 a true zero; empty unknown; tr a trace; <0.5 below a limit; (12.3) borrowed.",
        "# Allergens and kinds are not known: no import says anything of them. Fill contains, may_contain,",
        "# allergens_checked and kind for the foods you use.",
        "#",
        "# Import again to bring figures and sources up to date: rows are found by their id. Names, aliases, groups,",
        "# states, allergens, kinds, further columns, rows and comments stay as you wrote them.",
        f"{MARK}{mapping.id}",
    ]


def _measures_head(mapping: ImportMapping) -> list[str]:
    return [
        f"# Household measures of {mapping.name}: the grams of one.",
        "# volumes: whose spoons and cups they were weighed with.",
        "# Import again to bring them up to date; further rows and comments stay as you wrote them.",
        f"{MARK}{mapping.id}",
    ]
