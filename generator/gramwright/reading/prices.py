"""Takes prices.csv, gives what packs hold and cost: `food, pack_g, price, price_date`. Foods are not looked up yet.

    read_prices(text, file, log) -> list[PriceLine]     without the lines that have errors

`food` is an id or any name of a food, shipped or the hub's own; `pack_g` the grams of the food in one pack (drained,
where it is eaten drained), empty where the food's own line in foods/ says it; `price` that of one pack with its
currency ('2.40 EUR', '€2.40'), empty where only the size is known; `price_date` an ISO date or empty. A line here
goes before what a food's own line says.
"""

from __future__ import annotations

from typing import NamedTuple

from gramwright.problems import Place, ProblemLog
from gramwright.reading.csv_lines import cells_ok, header_ok, lines_of, no_header

FILE = "prices.csv"
COLUMNS = ("food", "pack_g", "price", "price_date", "note")


class PriceLine(NamedTuple):
    """One line as written; its numbers are read when the food is known."""

    food: str
    pack_g: str
    price: str
    price_date: str
    place: Place


def read_prices(text: str, file: str, log: ProblemLog) -> list[PriceLine]:
    """The lines in file order. Problems: 'missing-cell', 'no-price', and those of the CSV itself."""
    lines = lines_of(text, file, log)
    head = next(lines, None)
    if head is None:
        no_header(file, log, ", ".join(COLUMNS[:4]))
        return []
    if not header_ok(head, file, log, COLUMNS, COLUMNS[:1], COLUMNS):
        return []
    at = {name: index for index, name in enumerate(head.cells)}
    found: list[PriceLine] = []
    for line in lines:
        if not cells_ok(line, len(head.cells), file, log):
            continue
        cells = {name: line.cells[index].strip() for name, index in at.items()}
        place = Place(file, line.number, at["food"] + 1)
        food, grams, price = cells["food"], cells.get("pack_g", ""), cells.get("price", "")
        if not food:
            log.error(place, "missing-cell", "expected a food, found none", "fill it")
        elif not grams and not price:
            message = f"expected what a pack of '{food}' holds or costs, found neither"
            log.error(place, "no-price", message, "fill pack_g or price, or delete the line")
        else:
            found.append(PriceLine(food, grams, price, cells.get("price_date", ""), place))
    return found
