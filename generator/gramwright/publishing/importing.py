"""Takes a layout and a foreign table, writes a foods table (and its measures); gives what became of every row.

Measures go to `measures/` of the hub, in a file of the same name, when the foods go to its `foods/`; elsewhere only
where `measures` says. Nothing is written when anything is wrong with the mapping or with a table that is there.
"""

from __future__ import annotations

import time
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from gramwright.composition.imports import layouts, target
from gramwright.composition.imports.records import Imported, Progress
from gramwright.composition.imports.target import Merged
from gramwright.problems import Problem, ProblemLog, Severity, Trouble
from gramwright.publishing.keep_safe import replace_text
from gramwright.reading import corrections, files
from gramwright.reading.corrections import Correction


@dataclass(frozen=True, slots=True)
class ImportResult:
    """What an import did."""

    problems: list[Problem]
    foods: Merged | None = None
    """None: nothing was written."""
    measures: Merged | None = None
    into: Path = Path()
    measures_into: Path | None = None
    left_out: list[str] = field(default_factory=list)
    not_taken: dict[str, int] = field(default_factory=dict)
    seconds: float = 0.0

    @property
    def has_errors(self) -> bool:
        return any(problem.severity is Severity.ERROR for problem in self.problems)

    def as_json(self) -> dict[str, Any]:
        return {
            "into": str(self.into),
            "foods": _counts(self.foods),
            "measures_into": None if self.measures_into is None else str(self.measures_into),
            "measures": _counts(self.measures),
            "not_taken": self.not_taken,
            "columns_left_out": self.left_out,
            "seconds": round(self.seconds, 3),
            "problems": [problem.as_json() for problem in self.problems],
        }

    def lines(self) -> list[str]:
        """The same for a reader, without the problems."""
        if self.foods is None:
            return ["nothing was written"]
        said = [f"{_said(self.foods, 'foods')} in {self.into}"]
        if self.measures is not None:
            said.append(f"{_said(self.measures, 'measures')} in {self.measures_into}")
        said += [f"not taken: {count:,} {what}" for what, count in self.not_taken.items()]
        if self.left_out:
            shown = ", ".join(self.left_out[:8]) + (" ..." if len(self.left_out) > 8 else "")
            said.append(f"columns the mapping does not name: {len(self.left_out)} ({shown})")
        said.append(f"{self.seconds:.2f} s; allergens of these foods are not known until you fill them in")
        return said


def import_table(
    layout: str, source: Path, into: Path, *, measures: Path | None = None, progress: Progress | None = None
) -> ImportResult:
    """Reads `source` by `layout` (a shipped one or a mapping file) and writes `into`.

    Raises Trouble 'unknown-layout', 'no-file', 'target-exists' ... before anything is written; OSError.
    """
    begun = time.perf_counter()
    if into.suffix != ".csv":
        raise Trouble("bad-target", f"expected a CSV file to write, found {into}", "such as HUB/foods/usda.csv")
    log = ProblemLog()
    mapping = layouts.load_layout(layout, log)
    if mapping is None:
        return ImportResult(log.sorted(), into=into)
    measures = measures or _beside(into)
    before, measures_before = _read(into), None if measures is None else _read(measures)
    target.check_target(before, mapping, str(into))
    if measures is not None:
        target.check_target(measures_before, mapping, str(measures))
    imported = layouts.read(mapping, source, log, progress)
    if log.has_errors or not imported.foods:
        if not log.has_errors:
            raise Trouble(
                "nothing-imported",
                f"expected foods in {source}, found none",
                "is this the table of that layout? Look at the mapping's heads and lines",
            )
        return ImportResult(log.sorted(), into=into)
    corrected = _corrections(into, log)
    foods = target.merge_foods(imported, mapping, before, str(into), {key: one.new for key, one in corrected.items()})
    for key in foods.held:
        log.warn(
            corrected[key].place,
            "correction-kept",
            f"expected {key[1]} of {key[0]} as published, found it corrected on {corrected[key].date}: that stays",
            "delete the cell and import again to have the published figure",
        )
    merged = None
    if measures is not None and imported.measures:
        merged = target.merge_measures(imported, mapping, measures_before, str(measures))
        replace_text(measures, merged.text)
    elif imported.measures:
        imported.not_taken["household measures (say where with --measures)"] = len(imported.measures)
    replace_text(into, foods.text)
    return _result(log, imported, foods, merged, into, measures, time.perf_counter() - begun)


def _result(
    log: ProblemLog,
    imported: Imported,
    foods: Merged,
    merged: Merged | None,
    into: Path,
    measures: Path | None,
    seconds: float,
) -> ImportResult:
    return ImportResult(
        problems=log.sorted(),
        foods=foods,
        measures=merged,
        into=into,
        measures_into=None if merged is None else measures,
        left_out=imported.left_out,
        not_taken=dict(sorted(imported.not_taken.items())),
        seconds=seconds,
    )


def _counts(merged: Merged | None) -> dict[str, int] | None:
    if merged is None:
        return None
    return {
        "added": merged.added,
        "updated": merged.updated,
        "unchanged": merged.unchanged,
        "kept": merged.kept,
    }


def _said(merged: Merged, what: str) -> str:
    said = f"{what}: {merged.added:,} added, {merged.updated:,} updated, {merged.unchanged:,} unchanged"
    return said + (f", {merged.kept:,} kept that the table does not have" if merged.kept else "")


def _hub(into: Path) -> Path | None:
    """The hub whose foods/ the table goes to."""
    root = into.resolve().parent.parent
    return root if into.resolve().parent.name == "foods" and (root / "hub.yaml").is_file() else None


def _beside(into: Path) -> Path | None:
    return None if _hub(into) is None else into.parent.parent / "measures" / into.name


def _corrections(into: Path, log: ProblemLog) -> dict[tuple[str, str], Correction]:
    """(food, column) -> its last correction in the hub's log."""
    root = _hub(into)
    text = None if root is None else _read(root / corrections.FILE)
    if text is None:
        return {}
    found = corrections.read_corrections(text, corrections.FILE, log)
    return {(one.food, one.component): one for one in found}


def _read(path: Path) -> str | None:
    """The text of a file that is there. Raises Trouble 'target-unreadable'."""
    if not path.exists():
        return None
    log = ProblemLog()
    text = files.read(path, str(path), log)
    if text is None:
        problem = log.problems[0]
        raise Trouble("target-unreadable", f"{path}: {problem.message}", problem.hint)
    return text
