"""Takes the lines of a food table, gives Food records; the other half of tables.py."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass

from gramwright.model import AllergenStatement, Food, Quality, Tag, Value
from gramwright.problems import Place, ProblemLog, Trouble, near
from gramwright.reading.cells import derive, parse_cell
from gramwright.reading.components import column_tag, near_heads
from gramwright.reading.csv_lines import Line, cells_ok, header_ok
from gramwright.reading.fields import parse_date
from gramwright.reading.vocabulary import Vocabulary

PLAIN_COLUMNS = (
    "food", "name", "aliases", "group", "state", "refuse_pct", "density_g_ml", "contains", "may_contain",
    "allergens_checked", "exceptions", "kind", "source", "source_ref", "quality", "updated",
)  # fmt: skip
"""Columns with a place of their own in Food."""

EXTRA_COLUMNS = (
    "pack_g", "pack_price", "price", "price_date", "drained_g", "serving_g", "serving_name", "aisle", "brand",
    "ingredients", "cautions", "shipped_as", "note",
)  # fmt: skip
"""Further columns that are no component; kept in Food.extra as written."""

COLUMNS = PLAIN_COLUMNS + EXTRA_COLUMNS
_QUALITIES = {**{quality.value: quality for quality in Quality}, "": Quality.ESTIMATED}
_ID = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*")


@dataclass(slots=True)
class Columns:
    """Where everything stands in a food table."""

    count: int
    plain: dict[str, int]
    extra: tuple[tuple[str, int], ...]
    components: tuple[tuple[Tag, int], ...]

    @classmethod
    def of(cls, head: Line, file: str, log: ProblemLog) -> Columns | None:
        tags: dict[Tag, int] = {}
        wrong = False
        for index, name in enumerate(head.cells):
            if name in COLUMNS:
                continue
            try:
                tag = column_tag(name)
            except Trouble as trouble:
                log.add(trouble.at(Place(file, head.number, index + 1)))
                wrong = True
                continue
            if tag is not None and name in head.cells[:index]:
                continue
            if tag is not None and tag in tags:
                log.error(
                    Place(file, head.number, index + 1),
                    "wrong-header",
                    f"expected {tag} once, found it again as '{name}'",
                    "delete one of the columns",
                )
                wrong = True
            elif tag is not None:
                tags[tag] = index
            elif len(head.cells) > 1:
                close = near_heads(name, COLUMNS)
                log.error(
                    Place(file, head.number, index + 1),
                    "wrong-header",
                    f"expected a known column or a component with its unit (PROCNT_g), found '{name}'",
                    f"did you mean {' or '.join(close)}?"
                    if close
                    else f"known are: {', '.join(COLUMNS)}, PROCNT_g ...",
                )
                wrong = True
        known = (*COLUMNS, *(name for name in head.cells if name not in COLUMNS and len(head.cells) > 1))
        if not header_ok(head, file, log, known, ("food", "name"), PLAIN_COLUMNS) or wrong:
            return None
        return cls(
            len(head.cells),
            {name: head.cells.index(name) for name in PLAIN_COLUMNS if name in head.cells},
            tuple((name, head.cells.index(name)) for name in EXTRA_COLUMNS if name in head.cells),
            tuple(tags.items()),
        )


class FoodReader:
    """Reads the lines of one food table."""

    def __init__(self, columns: Columns, file: str, log: ProblemLog, vocabulary: Vocabulary, today: str = "") -> None:
        self.columns = columns
        self.file = file
        self.log = log
        self.vocabulary = vocabulary
        self.today = today
        self.last_date = ""
        self.seen: dict[str, int] = {}
        self.words: dict[tuple[str, str], frozenset[str]] = {}

    def food(self, line: Line) -> Food | None:
        """One line as a Food; None when it has errors."""
        log, columns = self.log, self.columns
        if not cells_ok(line, columns.count, self.file, log):
            return None
        before = len(log)
        cells = line.cells
        get = {name: cells[index].strip() for name, index in columns.plain.items()}.get
        number = line.number
        food_id, name = get("food", ""), get("name", "")
        self.check_names(number, food_id, name)
        values = self.values(number, cells)
        refuse = self.number(number, "refuse_pct", get("refuse_pct", ""), 0, 99.9)
        density = self.number(number, "density_g_ml", get("density_g_ml", ""), 0.02, 25)
        food = Food(
            id=food_id,
            name=name,
            aliases=_split(get("aliases", "")),
            group=get("group", ""),
            state=get("state", ""),
            refuse=0.0 if refuse is None else refuse / 100,
            density_g_ml=density,
            values=values,
            allergens=self.allergens(number, get),
            kinds=self.vocabulary_words(number, "kind", get("kind", ""), self.vocabulary.kind),
            source=get("source", ""),
            source_ref=get("source_ref", ""),
            quality=self.quality(number, get("quality", "")),
            updated=self.updated(number, get("updated", "")),
            place=Place(self.file, number),
            extra={name: cell for name, index in columns.extra if (cell := cells[index].strip())},
        )
        return food if len(log) == before else None

    def problem(self, number: int, column: str, code: str, message: str, hint: str = "") -> None:
        self.log.error(Place(self.file, number, self.columns.plain.get(column, -1) + 1), code, message, hint)

    def check_names(self, number: int, food_id: str, name: str) -> None:
        if not food_id:
            self.problem(
                number, "food", "missing-id", "expected a food id, found an empty cell", "such as 'oats-rolled'"
            )
        elif not _ID.fullmatch(food_id):
            suggestion = "-".join(re.findall(r"[a-z0-9]+", food_id.lower()))
            self.problem(
                number,
                "food",
                "bad-id",
                f"expected an id of small letters, digits and hyphens, found '{food_id}'",
                f"write '{suggestion}'" if suggestion else "such as 'oats-rolled'",
            )
        elif self.seen.setdefault(food_id, number) != number:
            self.problem(
                number,
                "food",
                "duplicate-food",
                f"expected each food id once, found '{food_id}' again (first in line {self.seen[food_id]})",
                "give one of the two another id, or delete it",
            )
        if not name:
            self.problem(
                number, "name", "missing-name", f"expected the name of '{food_id}', found an empty cell", "name it"
            )

    def values(self, number: int, cells: list[str]) -> dict[Tag, Value]:
        values: dict[Tag, Value] = {}
        for tag, index in self.columns.components:
            cell = cells[index]
            if not cell:
                continue
            try:
                value = parse_cell(cell)
            except Trouble as trouble:
                self.log.add(
                    Trouble(trouble.code, f"{tag}: {trouble.message}", trouble.hint).at(
                        Place(self.file, number, index + 1)
                    )
                )
                continue
            if value is not None:
                values[tag] = value
        return derive(values)

    def number(self, number: int, column: str, cell: str, least: float, most: float) -> float | None:
        if not cell:
            return None
        try:
            value = parse_cell(cell)
        except Trouble as trouble:
            self.problem(number, column, trouble.code, f"{column}: {trouble.message}", trouble.hint)
            return None
        if value is None or not least <= value.amount <= most:
            self.problem(
                number,
                column,
                "out-of-range",
                f"expected {column} from {least:g} to {most:g}, found '{cell}'",
                "check it; leave the cell empty when it is not known",
            )
            return None
        return value.amount

    def allergens(self, number: int, get: Callable[[str, str], str]) -> AllergenStatement:
        """What the line says of allergens; an error is logged and gives 'not checked'."""
        contains = self.vocabulary_words(number, "contains", get("contains", ""), self.vocabulary.allergen)
        may = self.vocabulary_words(number, "may_contain", get("may_contain", ""), self.vocabulary.allergen)
        checked = get("allergens_checked", "").lower()
        if checked not in ("", "yes", "no"):
            self.problem(
                number,
                "allergens_checked",
                "unknown-choice",
                f"expected yes, no or nothing for allergens_checked, found '{checked}'",
                "yes: every allergen was looked for; anything else means that the rest is not known",
            )
        both = contains & may
        if both:
            self.problem(
                number,
                "may_contain",
                "contradictory-allergens",
                f"expected each allergen once, found {', '.join(sorted(both))} under contains and under may_contain",
                "what it contains need not stand under may_contain: delete it there",
            )
            may -= both
        exceptions = frozenset(_split(get("exceptions", "")))
        return AllergenStatement(checked == "yes", contains, may, exceptions)

    def vocabulary_words(self, number: int, column: str, cell: str, look_up: Callable[[str], str]) -> frozenset[str]:
        """The canonical ids of a ';'-separated cell; every word that is not known is a problem."""
        if not cell:
            return frozenset()
        kept = self.words.get((column, cell))
        if kept is not None:
            return kept
        found: set[str] = set()
        before = len(self.log)
        for word in _split(cell):
            try:
                found.add(look_up(word))
            except Trouble as trouble:
                hint = trouble.hint
                if "," in word:
                    hint = "several are divided by ';', not by commas"
                self.problem(number, column, trouble.code, f"{column}: {trouble.message}", hint)
        ids = frozenset(found)
        if len(self.log) == before:
            self.words[column, cell] = ids
        return ids

    def quality(self, number: int, cell: str) -> Quality:
        """How good the figures are; nothing said counts as estimated."""
        known = _QUALITIES.get(cell.lower())
        if known is not None:
            return known
        close = near(cell.lower(), [name for name in _QUALITIES if name], 1)
        self.problem(
            number,
            "quality",
            "unknown-choice",
            f"expected {', '.join(name for name in _QUALITIES if name)} as quality, found '{cell}'",
            f"did you mean '{close[0]}'?" if close else "empty counts as estimated",
        )
        return Quality.ESTIMATED

    def updated(self, number: int, cell: str) -> str:
        if not cell:
            return ""
        if cell == self.last_date:
            return cell
        try:
            found = parse_date(cell)
        except Trouble as trouble:
            self.problem(number, "updated", trouble.code, f"updated: {trouble.message}", trouble.hint)
            return ""
        if self.today and found > self.today:
            self.problem(
                number,
                "updated",
                "future-date",
                f"expected a date up to today ({self.today}), found {found}",
                "the date on which the figures were read or published",
            )
        else:
            self.last_date = found
        return found


def _split(cell: str) -> tuple[str, ...]:
    return tuple(piece.strip() for piece in cell.split(";") if piece.strip()) if cell else ()
