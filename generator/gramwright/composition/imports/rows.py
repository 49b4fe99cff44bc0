"""What both layouts need to make a row: ids, texts fit for a cell, figures with their complaints."""

from __future__ import annotations

from gramwright.composition.imports.mapping import NUMBERS, Component, ImportMapping
from gramwright.composition.imports.records import Cells, Complaints, Imported
from gramwright.problems import Place, Trouble
from gramwright.reading.cells import parse_cell
from gramwright.reading.fields import parse_date
from gramwright.reading.fold import slug

_RANGES = {"refuse_pct": (0.0, 99.9), "density_g_ml": (0.02, 25.0)}
"""As reading.food_lines has them."""


def clean(text: str) -> str:
    """On one line, without control characters."""
    return " ".join("".join(c if c.isprintable() else " " for c in text).split())


class RowMaker:
    """Makes rows of our table from the texts and figures of a foreign one."""

    def __init__(self, mapping: ImportMapping, imported: Imported, complaints: Complaints) -> None:
        self.mapping = mapping
        self.imported = imported
        self.complaints = complaints
        self._places: dict[str, Place] = {}

    def start(self, code: str, place: Place) -> Cells | None:
        """A row with its id and what is fixed; None (and said) when there is no code, or it was there before."""
        ours = slug(code)
        if not ours:
            self.complaints.add(
                place,
                "missing-code",
                "id",
                "expected the publisher's code of the food, found none",
                "the line is left out",
            )
            return None
        food = f"{self.mapping.prefix}-{ours}"
        first = self._places.setdefault(food, place)
        if first is not place:
            self.complaints.add(
                place,
                "duplicate-code",
                "id",
                f"expected each code once, found '{code}' again (first at {first})",
                "the later line is left out",
                code,
            )
            return None
        return {"food": food, "source_ref": clean(code), **self.mapping.fixed}

    def text(self, row: Cells, column: str, found: str, place: Place) -> None:
        """Puts their text into one of our columns, through the mapping's words."""
        rule = self.mapping.texts.get(column)
        text = clean(rule.text(clean(found)) if rule else found)
        if column in ("group", "state"):
            text = slug(text)
        elif column == "updated" and text:
            try:
                text = parse_date(text)
            except Trouble as trouble:
                self.complaints.add(place, trouble.code, column, trouble.message, "the date stays empty", text)
                text = ""
        if text:
            row[column] = text

    def figure(self, row: Cells, component: Component, found: str, place: Place, borrowed: bool = False) -> bool:
        """Puts a figure into its column; gives whether there is one."""
        return self.put(row, component.column, self.cell(component, found, place), place, borrowed)

    def cell(self, component: Component, found: str, place: Place) -> str:
        """Our cell of theirs; '' for unknown, and where it cannot be read (which is said)."""
        try:
            return self.mapping.numbers.cell(found, component.times, component.zero_unknown)
        except Trouble as trouble:
            text = clean(found)[:60]
            message = f"{component.column}: {trouble.message}"
            self.complaints.add(place, trouble.code, component.column, message, trouble.hint, text)
            return ""

    def put(self, row: Cells, column: str, cell: str, place: Place, borrowed: bool = False) -> bool:
        """Puts our own cell into a column; gives whether it says anything."""
        if not cell:
            return False
        if column in NUMBERS:
            value = parse_cell(cell)
            least, most = _RANGES[column]
            if value is None or not least <= value.amount <= most:
                message = f"{column}: expected {least:g} to {most:g}, found '{cell}'"
                self.complaints.add(place, "out-of-range", column, message, "the cell stays empty", cell)
                return False
            cell = f"{value.amount:g}"
        row[column] = f"({cell})" if borrowed and cell[0] not in "(t" else cell
        return True

    def finish(self, row: Cells, place: Place) -> None:
        """Keeps the row; one without a name, or without a single figure, is said and left out."""
        if not row.get("name"):
            self.complaints.add(
                place,
                "missing-name",
                "name",
                f"expected the name of {row['food']}, found none",
                "the line is left out; a food without a name cannot be found",
                row["food"],
            )
        elif not any(component.column in row for component in self.mapping.components):
            self.imported.pass_over("foods without a single figure")
        else:
            self.imported.foods.append(row)
