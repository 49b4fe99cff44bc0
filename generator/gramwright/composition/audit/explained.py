"""Takes an explained.csv and findings, gives the findings that are still open, and the explanations nobody needs."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from gramwright.composition.audit.finding import Finding
from gramwright.problems import Place, ProblemLog
from gramwright.reading import files
from gramwright.reading.csv_lines import cells_ok, header_ok, lines_of, no_header
from gramwright.resources import content

COLUMNS = ("food", "code", "reason", "source")
SHIPPED = "content/audit/explained.csv"
OWN = "explained.csv"
"""A hub's own, beside hub.yaml."""


class Explanation(NamedTuple):
    """Why one finding is right as it stands."""

    food: str
    code: str
    reason: str
    source: str
    place: Place


class Sorted(NamedTuple):
    """Findings told apart by explanations."""

    open: tuple[Finding, ...]
    explained: tuple[tuple[Finding, Explanation], ...]
    unneeded: tuple[Explanation, ...]


def read_explained(text: str, file: str, log: ProblemLog) -> list[Explanation]:
    """The lines of an explained.csv; what is wrong with one is logged and leaves its finding open."""
    lines = lines_of(text, file, log)
    head = next(lines, None)
    if head is None:
        no_header(file, log, ", ".join(COLUMNS))
        return []
    if not header_ok(head, file, log, COLUMNS, COLUMNS, COLUMNS):
        return []
    at = {name: head.cells.index(name) for name in COLUMNS}
    found: dict[tuple[str, str], Explanation] = {}
    for line in lines:
        if not cells_ok(line, len(head.cells), file, log):
            continue
        cell = {name: line.cells[index].strip() for name, index in at.items()}
        empty = next((name for name in COLUMNS if not cell[name]), None)
        if empty is not None:
            log.error(
                Place(file, line.number, at[empty] + 1),
                "missing-cell",
                f"expected a {empty}, found an empty cell",
                "an explanation says which food and finding, why the figure stands, and who says so",
            )
            continue
        key = (cell["food"], cell["code"])
        first = found.get(key)
        if first is not None:
            log.error(
                Place(file, line.number),
                "duplicate-explanation",
                f"expected {key[1]} of {key[0]} explained once, found it again (first in line {first.place.line})",
                "keep one of the two",
            )
            continue
        found[key] = Explanation(cell["food"], cell["code"], cell["reason"], cell["source"], Place(file, line.number))
    return list(found.values())


def load_shipped(log: ProblemLog) -> list[Explanation]:
    """Explanations of findings on the shipped table."""
    text = files.read(content() / "audit" / "explained.csv", SHIPPED, log)
    return [] if text is None else read_explained(text, SHIPPED, log)


def sort_out(findings: Iterable[Finding], explanations: Sequence[Explanation]) -> Sorted:
    """Tells explained findings from open ones. Where a food is explained twice, the later explanation counts."""
    by_key = {(one.food, one.code): one for one in explanations}
    still_open: list[Finding] = []
    explained: list[tuple[Finding, Explanation]] = []
    for finding in findings:
        reason = by_key.get((finding.food, finding.code))
        if reason is None:
            still_open.append(finding)
        else:
            explained.append((finding, reason))
    used = {(reason.food, reason.code) for _, reason in explained}
    unneeded = tuple(one for one in explanations if (one.food, one.code) not in used)
    return Sorted(tuple(still_open), tuple(explained), unneeded)
