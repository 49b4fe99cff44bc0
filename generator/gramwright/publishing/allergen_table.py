"""Takes a hub, gives every recipe by allergen and state, and the reason for any cell: row, food, source, date."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any, NamedTuple

from gramwright.labelling.allergens import Choice, choices
from gramwright.labelling.label import label
from gramwright.model import AllergenFindings, Presence, Why
from gramwright.problems import Place, Problem, ProblemLog, Severity, Trouble, near
from gramwright.publishing.cookbook import Cookbook
from gramwright.publishing.hub import scan
from gramwright.publishing.kitchen import Kitchen, open_kitchen
from gramwright.publishing.plan import slugs_of

SAID = {
    Presence.CONTAINS: "contains",
    Presence.MAY_CONTAIN: "may contain",
    Presence.UNKNOWN: "not known",
    Presence.NOT_RECORDED: "none in the ingredients as recorded",
}
MARKS = {Presence.CONTAINS: "C", Presence.MAY_CONTAIN: "m", Presence.UNKNOWN: "?", Presence.NOT_RECORDED: "."}
KEY = (
    "C contains, m may contain, ? not known, m? may contain and besides not known, "
    ". none in the ingredients as recorded: no promise that it is absent."
)
FOOT = "Every recipe as written: what is optional and swaps are left out (--why says what they change)."


class Row(NamedTuple):
    """One recipe as written."""

    slug: str
    title: str
    findings: AllergenFindings
    choices: tuple[tuple[Choice, Place], ...] = ()
    """What swaps and optional rows change, each with its row's place."""


class Table(NamedTuple):
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
        """A table: a line a recipe, a column for every allergen that is anything but not recorded in some recipe."""
        if not self.rows:
            return []
        words: dict[str, str] = {}
        for row in self.rows:
            words |= row.findings.words
        listed = [name for name in words if any(_mark(row.findings, name) != "." for row in self.rows)]
        rest = [words[name] for name in words if name not in listed]
        heads = [str(number) for number in range(1, len(listed) + 1)]
        lines = [f"{number:>3}  {words[name]}" for number, name in zip(heads, listed, strict=True)]
        width = max(len("recipe"), *(len(row.slug) for row in self.rows))
        lines += ["", _line("recipe", heads, width)]
        lines += [
            _line(row.slug, [_mark(row.findings, name) for name in listed], width)
            for row in sorted(self.rows, key=lambda row: row.slug)
        ]
        lines += ["", KEY]
        if rest:
            lines.append(f"Recorded in no recipe: {', '.join(rest)}.")
        return [*lines, FOOT]


def _line(head: str, cells: list[str], width: int) -> str:
    return f"{head:<{width}}{''.join(f'{cell:>3}' for cell in cells)}"


def _mark(findings: AllergenFindings, allergen: str) -> str:
    """One cell; a generic name ('nuts') that a recipe does not say is not recorded in it."""
    state = findings.states.get(allergen, Presence.NOT_RECORDED)
    both = state is Presence.MAY_CONTAIN and allergen in findings.unresolved
    return MARKS[state] + ("?" if both else "")


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
        moved = choices(dish.ingredients, kitchen.rules.id, kitchen.settings, kitchen.today)
        places = tuple((each, dish.ingredients[each.index].row.place) for each in moved)
        row = Row(dish.page.slug, dish.page.title, done.allergens, places)
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
    lines = [f"{row.title}: {row.findings.words[allergen]}: {SAID[state]}"]
    for why in found:
        at = f" (row {why.row})" if why.row else ""
        read = f", {why.updated}" if why.updated else ""
        lines.append(f"    {why.name} [{why.food}]{at}: {why.place}, {why.source}{read}")
    if _mark(row.findings, allergen) == "m?":
        lines.append("    besides, some food leaves it not known")
    for choice, place, new in _changes(row, allergen):
        how = "as a swap" if choice.swap is not None else "optional"
        lines.append(f"    with {choice.name}, {how} (row {place}): {SAID[new]}")
    return lines


def _changes(row: Row, allergen: str) -> Iterator[tuple[Choice, Place, Presence]]:
    """The swaps and optional rows that change a cell, each with the state that it has then."""
    for choice, place in row.choices:
        new = choice.adds.get(allergen) or choice.removes.get(allergen)
        if new is not None:
            yield choice, place, new


def why_json(row: Row, allergen: str, found: tuple[Why, ...]) -> dict[str, Any]:
    return {
        "recipe": row.slug,
        "allergen": allergen,
        "state": row.findings.states[allergen].value,
        "unresolved": allergen in row.findings.unresolved,
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
        "changes": [
            {
                "name": choice.name,
                "row": str(place),
                "change": "optional" if choice.swap is None else "swap",
                "state": new.value,
            }
            for choice, place, new in _changes(row, allergen)
        ],
    }
