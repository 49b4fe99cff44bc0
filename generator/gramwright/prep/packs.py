"""What a food's table line says of the pack it is sold in. Takes a Food, gives grams, price and its date.

    pack_of(food) -> Pack | None      raises Trouble 'bad-pack', 'bad-price', 'bad-date'

Columns (kept in Food.extra): `pack_g`, `drained_g` (what is left of a can without its liquid), `pack_price` or `price`
(of one pack, with its currency: '2.40 EUR', '€2.40'), `price_date` (ISO).
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from gramwright.model import Food
from gramwright.problems import Trouble
from gramwright.reading.amounts import parse_number
from gramwright.reading.fields import parse_date

_PRICE = re.compile(r"(?P<before>[^\d\s.,-]{0,4})\s*(?P<amount>\d[\d.,]*)\s*(?P<after>[^\d\s.,-]{0,4})")


@dataclass(frozen=True, slots=True)
class Price:
    """Of one pack."""

    amount: float
    currency: str
    """As written: 'EUR', '€'; '' where it is not said."""
    leads: bool
    """Whether the currency stands before the amount."""
    date: str
    """ISO date; '' where it is not said."""


@dataclass(frozen=True, slots=True)
class Pack:
    usable_g: float
    """Grams of the food in one pack; of a drained food without the liquid."""
    price: Price | None


def pack_of(food: Food) -> Pack | None:
    """The pack a food is sold in; None where the table does not say."""
    extra = food.extra
    whole = _grams(food, "pack_g")
    drained = _grams(food, "drained_g") if food.state == "drained" else None
    usable = drained if drained is not None else whole
    return None if usable is None else Pack(usable, _price(food, extra.get("pack_price") or extra.get("price") or ""))


def _grams(food: Food, column: str) -> float | None:
    text = food.extra.get(column, "")
    if not text:
        return None
    try:
        grams = parse_number(text)
    except Trouble:
        grams = 0.0
    if not 0 < grams <= 1e6:
        raise Trouble(
            "bad-pack",
            f"expected the grams of one pack of {food.name} in {column}, above 0, found '{text}'",
            "read it from the pack, or leave the cell empty: then the list says grams",
        )
    return grams


def _price(food: Food, text: str) -> Price | None:
    if not text:
        return None
    found = _PRICE.fullmatch(text.strip())
    hint = "write it as 2.40 EUR or €2.40, or leave the cell empty"
    if found is None or (found["before"] and found["after"]):
        raise Trouble("bad-price", f"expected the price of one pack of {food.name}, found '{text}'", hint)
    try:
        amount = parse_number(found["amount"])
        day = parse_date(food.extra["price_date"]) if food.extra.get("price_date") else ""
    except Trouble as trouble:
        raise Trouble(
            "bad-price" if trouble.code != "bad-date" else "bad-date", f"{food.name}: {trouble.message}", hint
        ) from trouble
    return Price(amount, found["before"] or found["after"], bool(found["before"]), day)
