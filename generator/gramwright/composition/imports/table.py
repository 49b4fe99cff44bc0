"""Takes a CSV file with one food a line and its mapping, gives rows of our table and household measures."""

from __future__ import annotations

from pathlib import Path

from gramwright.composition.imports.mapping import ImportMapping
from gramwright.composition.imports.portions import portion
from gramwright.composition.imports.records import Complaints, Imported, MeasureRow, Progress
from gramwright.composition.imports.rows import RowMaker, clean
from gramwright.composition.imports.sheets import Sheet
from gramwright.problems import Place, ProblemLog, Trouble, near


def read_table(path: Path, mapping: ImportMapping, log: ProblemLog, progress: Progress | None = None) -> Imported:
    """Every row of the file. Raises Trouble 'missing-column', 'not-csv', 'wrong-encoding', 'no-file'; OSError."""
    if path.is_dir():
        path = path / mapping.file
        if not mapping.file or not path.is_file():
            raise Trouble(
                "no-file",
                f"expected the table itself, found the folder {path.parent} without {mapping.file or 'a file named'}",
                "name the CSV file",
            )
    imported = Imported(columns=tuple(dict.fromkeys(component.column for component in mapping.components)))
    complaints = Complaints(log)
    with Sheet(path, mapping.reading, progress) as sheet:
        _Columns(sheet, mapping).read(RowMaker(mapping, imported, complaints))
    complaints.tell()
    return imported


class _Columns:
    """Where everything stands in the sheet."""

    def __init__(self, sheet: Sheet, mapping: ImportMapping) -> None:
        self.sheet = sheet
        self.mapping = mapping
        self.missing: list[tuple[str, str]] = []
        self.code = sheet.needed(mapping.id_column)
        self.texts = {name: self.places(name, rule.heads) for name, rule in mapping.texts.items()}
        self.components = [(rule, self.places(rule.column, rule.heads)) for rule in mapping.components]
        self.portions = [
            (self.places("portion", (rule.name,)), self.places("grams", (rule.grams,))) for rule in mapping.portions
        ]

    def places(self, column: str, heads: tuple[str, ...]) -> list[int]:
        """The places of those heads that are there; when none is, that is remembered."""
        found = [place for head in heads if (place := self.sheet.column(head)) is not None]
        if not found:
            self.missing.append((column, heads[0]))
        return found

    def read(self, maker: RowMaker) -> None:
        sheet, complaints = self.sheet, maker.complaints
        for column, head in self.missing:
            close = near(head, sheet.heads, 1)
            complaints.add(
                Place(sheet.file, self.mapping.reading.head_line),
                "missing-column",
                column,
                f"expected a column '{head}' for {column}, found none",
                f"did you mean '{close[0]}'?" if close else "correct the head in the mapping, or delete the entry",
                head,
            )
        used = {self.code, *(place for places in self.texts.values() for place in places)}
        used |= {place for _, places in self.components for place in places}
        used |= {place for pair in self.portions for places in pair for place in places}
        maker.imported.left_out.extend(head for place, head in enumerate(sheet.heads) if place not in used)
        last = max(used) + 1
        for line, cells in sheet.rows():
            if self.whole(line, cells, last, complaints):
                self.row(line, cells, maker)

    def whole(self, line: int, cells: list[str], last: int, complaints: Complaints) -> bool:
        """Whether the row has a cell under every head; one with too many may have each figure under a wrong head."""
        sheet, heads = self.sheet, len(self.sheet.heads)
        if any(cell.strip() for cell in cells[heads:]):
            complaints.add(
                Place(sheet.file, line, heads + 1),
                "too-many-cells",
                "",
                f"expected {heads} cells, found {sheet.found}: a figure may stand under the wrong head",
                "the line is left out; look at its quotes, and at delimiter and decimal sign of the mapping",
            )
            return False
        if sheet.found < last:
            complaints.add(
                Place(sheet.file, line),
                "too-few-cells",
                "",
                f"expected {heads} cells, found {sheet.found}",
                "what is missing stays unknown; look whether the line is broken",
            )
        return True

    def row(self, line: int, cells: list[str], maker: RowMaker) -> None:
        file = self.sheet.file
        row = maker.start(cells[self.code], Place(file, line, self.code + 1))
        if row is None:
            return
        for name, places in self.texts.items():
            text = next((cells[place] for place in places if cells[place].strip()), "")
            maker.text(row, name, text, Place(file, line, places[0] + 1 if places else 0))
        for component, places in self.components:
            for place in places:
                if maker.figure(row, component, cells[place], Place(file, line, place + 1)):
                    break
        maker.finish(row, Place(file, line))
        for names, grams in self.portions:
            if names and grams and cells[grams[0]].strip():
                self.measure(row["food"], cells[names[0]], cells[grams[0]], maker)

    def measure(self, food: str, text: str, grams: str, maker: RowMaker) -> None:
        try:
            name, weight = portion(clean(text), maker.mapping.numbers.cell(grams))
        except Trouble as trouble:
            maker.imported.pass_over(trouble.message if trouble.code == "no-measure" else "portions without a weight")
            return
        maker.imported.measures.append(MeasureRow(food, name, weight, maker.mapping.fixed.get("source", "")))
