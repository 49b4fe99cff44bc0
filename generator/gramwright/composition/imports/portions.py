"""Takes a household portion as printed ('1/2 cup, diced'; 87 g), gives the measure's name and the grams of one."""

from __future__ import annotations

import re
from decimal import Decimal

from gramwright.problems import Trouble
from gramwright.reading.amounts import number_of

_COUNT = re.compile(r"(\d+\s+\d+/\d+|\d+/\d+|\d*[½⅓⅔¼¾⅛]|\d+(?:\.\d+)?|\.\d+)\s*(.*)", re.DOTALL)
_MASS = {"g", "gram", "grams", "kg", "mg", "oz", "ounce", "ounces", "lb", "lbs", "pound", "pounds"}
_VOLUME = {"ml", "cl", "dl", "l", "liter", "litre", "milliliter", "millilitre"}
_WORDS = {"tablespoon": "tbsp", "tablespoons": "tbsp", "teaspoon": "tsp", "teaspoons": "tsp", "cups": "cup"}
_NOTHING = ("quantity not specified", "guideline amount", "undetermined")


def portion(text: str, grams: str, amount: str = "") -> tuple[str, str]:
    """(name, grams of one). Raises Trouble 'no-measure' with the reason when the portion is none a row could name."""
    words = " ".join(text.split())
    count = _number(amount) if amount.strip() else Decimal(1)
    if not amount.strip():
        match = _COUNT.fullmatch(words)
        if match is not None:
            count, words = Decimal(str(number_of(match[1]))), match[2]
    name = _name(words)
    first = name.lower().rstrip(".").split(" ")[0] if name else ""
    if not name or any(name.lower().startswith(mark) for mark in _NOTHING):
        raise Trouble("no-measure", "portions without a measure")
    if first in _MASS:
        raise Trouble("no-measure", "portions that are a mass")
    if first in _VOLUME:
        raise Trouble("no-measure", "portions in millilitres or litres")
    weight = _number(grams)
    if count <= 0 or not 0 < weight / count <= 100_000:
        raise Trouble("no-measure", "portions without a weight")
    one = weight / count
    return name, f"{Decimal(f'{one:.6g}').normalize():f}"


def _number(text: str) -> Decimal:
    bare = text.strip()
    if not re.fullmatch(r"\d{1,9}(?:\.\d{1,9})?|\.\d{1,9}", bare, re.ASCII):
        raise Trouble("no-measure", "portions without a weight")
    return Decimal(bare)


def _name(words: str) -> str:
    """The measure's words: spoons in short, no comma after a spoon or cup, no semicolon or quote."""
    name = words.strip(" ,;")
    first, _, rest = name.partition(" ")
    plain = first.rstrip(",.").lower()
    if plain in _WORDS or plain in ("cup", "tbsp", "tsp"):
        name = f"{_WORDS.get(plain, plain)} {rest.strip(' ,')}".strip()
    return name[:120].replace('"', " in").replace(";", ",")
