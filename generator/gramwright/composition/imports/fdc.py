"""Takes a folder of USDA FoodData Central CSV files, gives rows of our table and household measures.

Files and columns as the publisher's field descriptions name them (secondary copy), the rest from memory:

    food.csv             fdc_id, data_type, description, food_category_id, publication_date
    nutrient.csv         id, name, unit_name, nutrient_nbr
    food_nutrient.csv    fdc_id, nutrient_id, amount, derivation_id, loq; per 100 g, in the nutrient's unit. Survey
                         foods name the nutrient by its number, all others by its id
    food_nutrient_derivation.csv  id, code (optional): how a figure came about
    food_portion.csv     fdc_id, amount, measure_unit_id, portion_description, modifier, gram_weight (optional)
    measure_unit.csv     id, name (optional); 9999 means none
    food_category.csv    id, description (optional); wweia_food_category.csv the same for survey foods
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from gramwright.composition.imports.foreign import factor
from gramwright.composition.imports.mapping import Component, ImportMapping
from gramwright.composition.imports.portions import portion
from gramwright.composition.imports.records import Cells, Complaints, Imported, MeasureRow, Progress
from gramwright.composition.imports.rows import RowMaker, clean
from gramwright.composition.imports.sheets import Sheet
from gramwright.problems import Place, ProblemLog, Trouble

NO_UNIT = "9999"


def read_fdc(folder: Path, mapping: ImportMapping, log: ProblemLog, progress: Progress | None = None) -> Imported:
    """Every food of the mapping's data types. Raises Trouble 'no-file', 'missing-column', 'not-csv'; OSError."""
    if not (folder / "food.csv").is_file():
        inside = [path.parent for path in sorted(folder.glob("*/food.csv"))] if folder.is_dir() else []
        raise Trouble(
            "no-file",
            f"expected a folder with food.csv, nutrient.csv and food_nutrient.csv, found no food.csv in {folder}",
            f"name the folder {inside[0]}" if inside else "unpack the download and name the folder it makes",
        )
    imported = Imported(columns=tuple(dict.fromkeys(component.column for component in mapping.components)))
    complaints = Complaints(log)
    reader = _Folder(folder, mapping, RowMaker(mapping, imported, complaints), progress)
    reader.foods()
    reader.nutrients()
    reader.amounts()
    reader.portions()
    complaints.tell()
    return imported


class _Folder:
    def __init__(self, folder: Path, mapping: ImportMapping, maker: RowMaker, progress: Progress | None) -> None:
        self.folder = folder
        self.mapping = mapping
        self.maker = maker
        self.progress = progress
        self.rows: dict[str, Cells] = {}
        self.places: dict[str, Place] = {}
        self.wanted: dict[str, tuple[int, Component]] = {}
        """Nutrient id or number -> (rank among the columns of its component, the component with its factor)."""

    def sheet(self, name: str, progress: Progress | None = None) -> Sheet:
        if not (self.folder / name).is_file():
            raise Trouble(
                "no-file", f"expected {name} in {self.folder}, found none", "unpack the whole download into one folder"
            )
        return Sheet(self.folder / name, self.mapping.reading, progress)

    def lookup(self, name: str, key: str, *value: str) -> dict[str, str]:
        """Two columns of a small file as a mapping; empty when the file is not there."""
        if not (self.folder / name).is_file():
            return {}
        with self.sheet(name) as sheet:
            at, to = sheet.needed(key, f"{key}_code"), sheet.needed(*value)
            return {row[at].strip(): row[to].strip() for _, row in sheet.rows()}

    def foods(self) -> None:
        """Starts a row for every food of a wanted type."""
        groups = self.lookup("food_category.csv", "id", "description")
        surveys = self.lookup("wweia_food_category.csv", "wweia_food_category", "wweia_food_category_description")
        maker, types = self.maker, self.mapping.data_types
        with self.sheet("food.csv") as sheet:
            at = {name: sheet.needed(name) for name in ("fdc_id", "data_type", "description")}
            category, published = sheet.column("food_category_id"), sheet.column("publication_date")
            for line, cells in sheet.rows():
                kind = cells[at["data_type"]].strip()
                if kind not in types:
                    maker.imported.pass_over(f"foods of the type {kind or 'not said'}")
                    continue
                place = Place(sheet.file, line)
                code = cells[at["fdc_id"]].strip()
                row = maker.start(code, place)
                if row is None:
                    continue
                row["quality"] = types[kind]
                row["source"] = f"{row.get('source', self.mapping.name)}, {kind}"
                maker.text(row, "name", cells[at["description"]], place)
                maker.text(row, "state", cells[at["description"]], place)
                if category is not None:
                    key = cells[category].strip()
                    maker.text(row, "group", groups.get(key, surveys.get(key, "")), place)
                if published is not None:
                    maker.text(row, "updated", cells[published], place)
                self.rows[code] = row
                self.places[code] = place

    def nutrients(self) -> None:
        """Which nutrient becomes which column, with the factor from the publisher's unit."""
        by_number = {
            number: (rank, component)
            for component in self.mapping.components
            for rank, number in enumerate(component.heads)
        }
        with self.sheet("nutrient.csv") as sheet:
            ident, number = sheet.needed("id"), sheet.needed("nutrient_nbr")
            unit, name = sheet.needed("unit_name"), sheet.needed("name")
            for line, cells in sheet.rows():
                key = _number(cells[number])
                found = by_number.get(key)
                if found is None:
                    self.maker.imported.left_out.append(f"{key} {clean(cells[name])}".strip())
                    continue
                rank, component = found
                try:
                    times = component.times * factor(cells[unit], component.our_unit)
                except Trouble as trouble:
                    where = component.column
                    self.maker.complaints.add(
                        Place(sheet.file, line, unit + 1),
                        trouble.code,
                        where,
                        f"{where}: {trouble.message}",
                        trouble.hint,
                    )
                    continue
                ready = rank, replace(component, times=times)
                self.wanted[cells[ident].strip()] = ready
                self.wanted.setdefault(key, ready)

    def amounts(self) -> None:
        """Fills the rows; of several nutrients for one column the first of the mapping counts."""
        codes = self.lookup("food_nutrient_derivation.csv", "id", "code")
        loose = {ident for ident, code in codes.items() if code.startswith(self.mapping.borrowed or ("\0",))}
        rows, wanted, maker = self.rows, self.wanted, self.maker
        ranks: dict[tuple[str, str], int] = {}
        with self.sheet("food_nutrient.csv", self.progress) as sheet:
            food, nutrient, amount = sheet.needed("fdc_id"), sheet.needed("nutrient_id"), sheet.needed("amount")
            derivation, limit = sheet.column("derivation_id"), sheet.column("loq")
            for line, cells in sheet.rows():
                row = rows.get(cells[food])
                if row is None:
                    continue
                found = wanted.get(cells[nutrient]) or wanted.get(_number(cells[nutrient]))
                if found is None:
                    continue
                rank, component = found
                key = (cells[food], component.column)
                best = ranks.get(key, 99)
                if best <= rank:
                    if best == rank:
                        maker.imported.pass_over("second figures of one nutrient of one food")
                    continue
                place = Place(sheet.file, line, amount + 1)
                text = cells[amount]
                if limit is not None and cells[limit] and _is_zero(text):
                    text = f"<{cells[limit]}"
                borrowed = derivation is not None and cells[derivation] in loose
                if maker.figure(row, component, text, place, borrowed):
                    ranks[key] = rank
        for code, row in rows.items():
            maker.finish(row, self.places[code])

    def portions(self) -> None:
        """The household measures of the foods that were taken."""
        imported = self.maker.imported
        taken = {row["source_ref"]: row for row in imported.foods}
        if not (self.folder / "food_portion.csv").is_file():
            return
        units = self.lookup("measure_unit.csv", "id", "name")
        with self.sheet("food_portion.csv") as sheet:
            food, grams = sheet.needed("fdc_id"), sheet.needed("gram_weight")
            amount, unit = sheet.column("amount"), sheet.column("measure_unit_id")
            described, modifier = sheet.column("portion_description"), sheet.column("modifier")
            for _, cells in sheet.rows():
                row = taken.get(cells[food].strip())
                if row is None:
                    continue
                count = "" if amount is None else cells[amount]
                words = "" if described is None else cells[described]
                more = "" if modifier is None else cells[modifier]
                measured = "" if unit is None or cells[unit].strip() == NO_UNIT else units.get(cells[unit].strip(), "")
                if measured:
                    text = f"{measured} {more or words}"
                elif count.strip():
                    text = more or words
                else:
                    text = words
                try:
                    name, weight = portion(clean(text), cells[grams], count)
                except Trouble as trouble:
                    imported.pass_over(trouble.message)
                    continue
                imported.measures.append(MeasureRow(row["food"], name, weight, f"{row['source']} {row['source_ref']}"))


def _number(text: str) -> str:
    """A nutrient number without zeros at its end ('203.0' is 203)."""
    bare = text.strip()
    return bare.rstrip("0").rstrip(".") if "." in bare else bare


def _is_zero(text: str) -> bool:
    try:
        return float(text) == 0
    except ValueError:
        return False
