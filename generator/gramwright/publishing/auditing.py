"""Takes a hub (or none), audits its food table; gives findings that nobody has explained, heaviest first.

The shipped table is audited by itself. A hub's own foods are held against each other and against the shipped ones;
what a hub's foods do to the middle of a group is no finding on a shipped food.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from pathlib import Path
from typing import Any, NamedTuple

from gramwright.composition.audit import Finding, audit
from gramwright.composition.audit.explained import Explanation, load_shipped, read_explained, sort_out
from gramwright.model import Food
from gramwright.problems import Place, Problem, ProblemLog
from gramwright.publishing.pantry import open_pantry
from gramwright.reading import files

EXPLAINED = "explained.csv"
"""A hub's own explanations, beside hub.yaml; the grammar heads content/audit/explained.csv."""
SHIPPED = "content/"


class AuditResult(NamedTuple):
    """What an audit found."""

    foods: int
    findings: tuple[Finding, ...]
    explained: tuple[tuple[Finding, Explanation], ...]
    problems: list[Problem]
    """Of reading the tables, and explanations that are not needed any more."""

    @property
    def clean(self) -> bool:
        return not self.findings and not any(problem.severity == "error" for problem in self.problems)

    def as_json(self) -> dict[str, Any]:
        """`problems` holds the findings too, as warnings."""
        return {
            "foods": self.foods,
            "findings": [finding_json(finding) for finding in self.findings],
            "explained": [
                {**finding_json(finding), "reason": why.reason, "explained_by": why.source}
                for finding, why in self.explained
            ],
            "problems": [
                *(problem.as_json() for problem in self.problems),
                *(finding.as_problem().as_json() for finding in self.findings),
            ],
        }

    def lines(self) -> list[str]:
        """Findings for a reader, heaviest first."""
        said: list[str] = []
        for finding in self.findings:
            said.append(f"{finding.weight:8.1f} %  {finding.place}  {finding.name} ({finding.food}) [{finding.code}]")
            said.append(f"            {finding.message}")
            said.append(f"            way out: {finding.hint}")
        if self.findings:
            said.append("per cent: how far 100 g may be off, of a day's reference intake")
        said.append(f"{self.foods:,} foods, {len(self.findings)} findings, {len(self.explained)} explained")
        return said


def finding_json(finding: Finding) -> dict[str, Any]:
    return {
        "code": finding.code,
        "food": finding.food,
        "name": finding.name,
        "file": finding.place.file,
        "line": finding.place.line,
        "message": finding.message,
        "hint": finding.hint,
        "weight": finding.weight,
    }


def audit_hub(root: Path | None, today: date) -> AuditResult:
    """Audits the shipped table, with the hub's own on top when there is one. Raises Trouble 'no-hub'."""
    table, problems = open_pantry(root, today)
    shipped = [food for food in table.foods if food.place.file.startswith(SHIPPED)]
    own = [food for food in table.foods if not food.place.file.startswith(SHIPPED)]
    log = ProblemLog()
    explanations = load_shipped(log)
    sorted_shipped = sort_out(audit(shipped, today), explanations)
    sorted_own = sort_out(_own_findings(own, shipped, today), _hub_explanations(root, log))
    if root is None:
        _unneeded(sorted_shipped.unneeded, log)
    _unneeded(sorted_own.unneeded, log)
    return AuditResult(
        foods=len(table.foods),
        findings=_ranked([*sorted_shipped.open, *sorted_own.open]),
        explained=(*sorted_shipped.explained, *sorted_own.explained),
        problems=[*problems, *log.sorted()],
    )


def _own_findings(own: list[Food], shipped: list[Food], today: date) -> list[Finding]:
    """On the hub's own foods, among themselves and among all; of two of one kind on one food the heavier."""
    if not own:
        return []
    places = {food.id: food.place for food in own}
    kept: dict[tuple[str, str, str], Finding] = {}
    for finding in _ranked([*audit(own, today), *audit([*shipped, *own], today)]):
        shared = finding.food not in places
        if shared and finding.place.file.startswith(SHIPPED):
            continue
        kept.setdefault((finding.code, finding.food, finding.name if shared else ""), finding)
    return list(kept.values())


def _hub_explanations(root: Path | None, log: ProblemLog) -> list[Explanation]:
    path = None if root is None else root / EXPLAINED
    if path is None or not path.is_file():
        return []
    text = files.read(path, EXPLAINED, log)
    return [] if text is None else read_explained(text, EXPLAINED, log)


def _unneeded(explanations: Iterable[Explanation], log: ProblemLog) -> None:
    for one in explanations:
        log.warn(
            Place(one.place.file, one.place.line),
            "unneeded-explanation",
            f"expected a finding {one.code} on {one.food}, found none",
            "delete the line",
        )


def _ranked(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    return tuple(sorted(findings, key=lambda f: (-f.weight, f.code, f.place, f.food)))
