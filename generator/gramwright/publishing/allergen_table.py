"""Takes a hub, gives every recipe by allergen and state, and the reason for any cell: row, food, source, date."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from gramwright.labelling.label import label
from gramwright.model import AllergenFindings, Presence, Why
from gramwright.problems import Problem, ProblemLog, Severity, Trouble, near
from gramwright.publishing.cookbook import Cookbook
from gramwright.publishing.hub import scan
from gramwright.publishing.kitchen import Kitchen, open_kitchen
from gramwright.publishing.plan import slugs_of

MARKS = {
    Presence.CONTAINS: "contains",
    Presence.MAY_CONTAIN: "may",
    Presence.UNKNOWN: "not known",
    Presence.NOT_RECORDED: "",
}
FOOT = "An empty cell: none in the ingredients as recorded. That is no promise that it is absent."


@dataclass(frozen=True, slots=True)
class Row:
    """One recipe, optional rows and swaps left out."""

    slug: str
    title: str
    findings: AllergenFindings


@dataclass(frozen=True, slots=True)
class Table:
    rows: tuple[Row, ...]
    problems: list[Problem]

    @property
    def has_errors(self) -> bool:
        return any(problem.severity is Severity.ERROR for problem in self.problems)

    def as_json(self) -> dict[str, Any]:
        return {
            row.slug: {allergen: state.value for allergen, state in row.findings.states.items()} for row in self.rows
        }

    def as_lines(self) -> list[str]:
        """One line a recipe: what it contains, what it may contain, what is not known."""
        lines: list[str] = []
        for row in self.rows:
            lines.append(f"{row.title} ({row.slug})")
            for presence in (Presence.CONTAINS, Presence.MAY_CONTAIN, Presence.UNKNOWN):
                named = [row.findings.words[allergen] for allergen in row.findings.listed(presence)]
                if named:
                    lines.append(f"    {MARKS[presence]}: {', '.join(named)}")
        return [*lines, FOOT]


def allergen_table(root: Path, today: date) -> Table:
    """Every recipe of the hub that can be computed; the others are in `problems`. Raises Trouble 'no-hub'."""
    hub = scan(root)
    log = ProblemLog()
    kitchen = open_kitchen(hub, today, log)
    if kitchen is None:
        return Table((), log.sorted())
    slugs = slugs_of(hub, None, log)
    cookbook = Cookbook(kitchen, slugs)
    rows = [row for _, file in sorted(slugs.items()) if (row := _row(kitchen, cookbook, file, log)) is not None]
    return Table(tuple(rows), log.sorted())


def _row(kitchen: Kitchen, cookbook: Cookbook, file: str, log: ProblemLog) -> Row | None:
    mine = ProblemLog()
    page = cookbook.page(file, kitchen.hub.read(file), mine)
    dish = None if page is None else cookbook.dish(page, mine)
    row = None
    if dish is not None:
        done = label(dish, kitchen.rules, kitchen.books, kitchen.settings, kitchen.vocabulary, mine, kitchen.today)
        row = Row(dish.page.slug, dish.page.title, done.allergens)
    log.extend(mine)
    return row


def reasons(table: Table, slug: str, allergen: str) -> tuple[Row, str, tuple[Why, ...]]:
    """(the recipe, the allergen's id, why it has its state). Raises Trouble 'unknown-recipe', 'unknown-allergen'."""
    row = next((row for row in table.rows if row.slug == slug), None)
    if row is None:
        close = near(slug, [row.slug for row in table.rows])
        raise Trouble("unknown-recipe", f"expected a recipe's slug, found '{slug}'", _meant(close))
    names = {**{word.casefold(): key for key, word in row.findings.words.items()}, **{k: k for k in row.findings.words}}
    found = names.get(allergen.casefold())
    if found is None:
        raise Trouble(
            "unknown-allergen",
            f"expected an allergen of this rule set, found '{allergen}'",
            _meant(near(allergen.casefold(), names)) or f"it lists {', '.join(row.findings.words.values())}",
        )
    return row, found, tuple(row.findings.because.get(found, ()))


def _meant(close: list[str]) -> str:
    return f"did you mean {', '.join(close)}?" if close else ""


def why_lines(row: Row, allergen: str, found: tuple[Why, ...]) -> list[str]:
    """The reason for one cell as text."""
    state = row.findings.states[allergen]
    word = row.findings.words[allergen]
    if not found:
        return [f"{row.title}: {word}: none in the ingredients as recorded"]
    lines = [f"{row.title}: {word}: {MARKS[state]}"]
    for why in found:
        at = f" (row {why.row})" if why.row else ""
        read = f", {why.updated}" if why.updated else ""
        lines.append(f"    {why.name} [{why.food}]{at}: {why.place}, {why.source}{read}")
    return lines


def why_json(row: Row, allergen: str, found: tuple[Why, ...]) -> dict[str, Any]:
    return {
        "recipe": row.slug,
        "allergen": allergen,
        "state": row.findings.states[allergen].value,
        "because": [
            {
                "food": why.food,
                "name": why.name,
                "row": str(why.row) if why.row else "",
                "table": str(why.place),
                "source": why.source,
                "date": why.updated,
            }
            for why in found
        ],
    }
