"""What a food's table line says of the pack it is sold in. Takes a Food, gives grams, price and its date.

    pack_of(food, known) -> Pack | None                        raises Trouble 'bad-pack', 'bad-price', 'bad-date'
    pack_said(food, grams, price, price_date) -> Pack          the same out of a line of prices.csv

Columns (kept in Food.extra): `pack_g`, `drained_g` (what is left of a can without its liquid), `pack_price` or `price`
(of one pack, with its currency: '2.40 EUR', '€2.40'), `price_date` (ISO).
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from types import MappingProxyType
from typing import NamedTuple

from gramwright.model import Food
from gramwright.problems import Trouble
from gramwright.reading.amounts import parse_number
from gramwright.reading.fields import parse_date

_PRICE = re.compile(r"(?P<before>[^\d\s.,-]{0,4})\s*(?P<amount>\d[\d.,]*)\s*(?P<after>[^\d\s.,-]{0,4})")
CODES = {"€": "EUR", "£": "GBP"}
"""Signs that stand for one currency (ISO 4217); '$' is the sign of many."""


class Price(NamedTuple):
    """Of one pack."""

    amount: float
    currency: str
    """As written: 'EUR', '€'; '' where it is not said."""
    leads: bool
    """Whether the currency stands before the amount."""
    date: str
    """ISO date; '' where it is not said."""

    @property
    def code(self) -> str:
        """The currency, however it is written: '€' is EUR."""
        return CODES.get(self.currency, self.currency.upper())


class Pack(NamedTuple):
    usable_g: float
    """Grams of the food in one pack; of a drained food without the liquid."""
    price: Price | None


NONE: Mapping[str, Pack] = MappingProxyType({})
"""No pack beside those of the tables."""


def pack_of(food: Food, known: Mapping[str, Pack] = NONE) -> Pack | None:
    """The pack a food is sold in, by `known` (food id -> Pack) or its table line; None where neither says."""
    if food.id in known:
        return known[food.id]
    extra = food.extra
    whole = _grams(food, "pack_g", extra.get("pack_g", ""))
    drained = _grams(food, "drained_g", extra.get("drained_g", "")) if food.state == "drained" else None
    usable = drained if drained is not None else whole
    if usable is None:
        return None
    price = extra.get("pack_price") or extra.get("price") or ""
    return Pack(usable, _price(food, price, extra.get("price_date", "")))


def pack_said(food: Food, grams: str, price: str, price_date: str) -> Pack:
    """A line of prices.csv; without grams those of the food's own line. Raises Trouble as `pack_of`, and 'no-pack'."""
    usable = _grams(food, "pack_g", grams)
    own = pack_of(food)
    if usable is None:
        usable = None if own is None else own.usable_g
    if usable is None:
        raise Trouble(
            "no-pack",
            f"expected the grams of one pack of {food.name} beside its price, found none here and none in its table",
            "fill pack_g",
        )
    return Pack(usable, _price(food, price, price_date))


def _grams(food: Food, column: str, text: str) -> float | None:
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


def _price(food: Food, text: str, price_date: str) -> Price | None:
    if not text:
        return None
    found = _PRICE.fullmatch(text.strip())
    hint = "write it as 2.40 EUR or €2.40, or leave the cell empty"
    if found is None or (found["before"] and found["after"]):
        raise Trouble("bad-price", f"expected the price of one pack of {food.name}, found '{text}'", hint)
    try:
        amount = parse_number(found["amount"])
        day = parse_date(price_date) if price_date else ""
    except Trouble as trouble:
        raise Trouble(
            "bad-price" if trouble.code != "bad-date" else "bad-date", f"{food.name}: {trouble.message}", hint
        ) from trouble
    return Price(amount, found["before"] or found["after"], bool(found["before"]), day)
