"""A plan's shopping list. Takes the list and the costs, gives it for the page, as plain text and as CSV."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping
from dataclasses import dataclass
from math import ceil
from typing import NamedTuple

from gramwright.model import Food
from gramwright.prep.made import PlanMade
from gramwright.prep.needs import bought_as
from gramwright.prep.packs import Price
from gramwright.prep.prices import Cost, Costs
from gramwright.prep.shopping import Item
from gramwright.reading.fold import fold
from gramwright.site.plan_said import day_name, portions
from gramwright.site.words import Words

COLUMNS = (
    "aisle", "food", "id", "needed_g", "in_house_g", "packs", "pack_g", "bought_g", "left_over_g", "price", "currency",
    "price_date", "for",
)  # fmt: skip
PIECES = ("medium", "clove", "bulb", "large", "small", "extra large", "jumbo")
"""Household measures that a shop sells by the piece; what a row does not name is counted by the first that is known."""
EACH = "each"
MOST_USES = 20
"""A left-over that is enough for more portions than this is a store, not a left-over."""


class ItemView(NamedTuple):
    key: str
    """For the tick's memory."""
    name: str
    href: str
    amount: str
    """'2 packs of 240 g', '420 g'."""
    more: str
    """Needed, in the house, by the piece; in words."""
    left: str
    """What is left over, and where the plan could use it; ''."""
    price: str


class AisleView(NamedTuple):
    name: str
    items: tuple[ItemView, ...]


class CostLine(NamedTuple):
    name: str
    whole: str
    portion: str
    known: str
    """For which share of the weight a price is known."""


class CostsView(NamedTuple):
    recipes: tuple[CostLine, ...]
    days: tuple[CostLine, ...]
    total: str
    total_known: str
    till: str
    note: str


@dataclass(frozen=True, slots=True)
class ShopView:
    aisles: tuple[AisleView, ...]
    house: tuple[str, ...]
    house_note: str
    free: str
    count: str
    costs: CostsView | None


def shop(made: PlanMade, words: Words, root: str, pages: frozenset[str]) -> ShopView:
    """`pages`: ids of the foods that have a page."""
    shopping = made.shopping
    aisles = tuple(
        AisleView(aisle.name, tuple(_item(item, words, root, pages) for item in items))
        for aisle, items in shopping.aisles
    )
    return ShopView(
        aisles=aisles,
        house=tuple(
            words("plan.from_house", name=item.food.name, grams=_up(item.house_g, words)) for item in shopping.house
        ),
        house_note="" if shopping.checked_dates or not shopping.house else words("plan.house_dates"),
        free=", ".join(f"{item.food.name} {_up(item.needed_g, words)}" for item in shopping.free),
        count=words("plan.items", n=sum(len(aisle.items) for aisle in aisles)),
        costs=None if made.costs is None else _costs(made.costs, made, words),
    )


def _item(item: Item, words: Words, root: str, pages: frozenset[str]) -> ItemView:
    price = "" if item.pack is None or item.pack.price is None else money(
        item.pack.price.amount * item.packs, item.pack.price.currency, item.pack.price.leads, words
    )  # fmt: skip
    return ItemView(
        key=item.food.id,
        name=item.food.name,
        href=f"{root}foods/{item.food.id}/index.html" if item.food.id in pages else "",
        amount=amount(item, words),
        more=", ".join(_more(item, words)),
        left=left_over(item, words),
        price=price,
    )


def amount(item: Item, words: Words) -> str:
    """What to buy: packs where the pack is known, else grams."""
    if item.pack is not None and item.packs:
        return words("plan.packs", n=item.packs, grams=_up(item.pack.usable_g, words))
    if item.needed_g <= 0:
        return words("plan.taste")
    return _up(item.buy_g, words)


def _more(item: Item, words: Words) -> list[str]:
    said: list[str] = []
    if item.pack is not None and item.packs and item.needed_g > 0:
        said.append(words("plan.needed", grams=_up(item.buy_g, words)))
    pieces = _pieces(item)
    if pieces is not None and item.pack is None:
        said.append(words(f"plan.counted.{pieces[1].replace(' ', '_')}", n=pieces[0]))
    if item.house_g > 0:
        said.append(words("plan.house_has", grams=_up(item.house_g, words)))
    if item.raw:
        said.append(words("plan.raw"))
    ready = bought_as(item.food)
    if ready and item.needed_g > 0:
        said.append(words(f"plan.bought_as.{ready}", grams=_up(item.buy_g / (1 - item.food.refuse), words)))
    return said


def _pieces(item: Item) -> tuple[int, str] | None:
    """(how many, of what) where the food is counted."""
    known = {fold(measure.name): measure.grams for measure in item.food.measures if measure.grams > 0}
    name = _piece(item, known)
    if name is None:
        return None
    return max(1, ceil(item.buy_g * (1 - _refuse(item.food)) / known[name] - 0.05)), name


def _piece(item: Item, known: Mapping[str, float]) -> str | None:
    """The size that most of it is written in; else what a bare count of it means, by its size where that has one."""
    sizes = [name for name in PIECES if name in known]
    if not sizes:
        return None
    written = [name for name in sizes if item.measures.get(name)]
    if written:
        return max(written, key=lambda name: item.measures[name])
    if EACH not in known:
        return sizes[0]
    return next((name for name in sizes if known[name] == known[EACH]), EACH)


def _refuse(food: Food) -> float:
    """The share of what is bought that is cut away."""
    return 0.0 if bought_as(food) else food.refuse


def left_over(item: Item, words: Words) -> str:
    """'60 g left over: enough for 1 more portion of ...'."""
    if item.left_g < 1:
        return ""
    uses = [
        words(
            f"plan.left_{use.kind}",
            dish=use.title,
            portions=portions(_down(use.portions), words),
            n=_down(use.portions),
        )
        for use in item.left_uses[:2]
        if 0.25 <= use.portions <= MOST_USES
    ]
    said = words("plan.left", grams=words.grams(item.left_g))
    return f"{said}: {'; '.join(uses)}" if uses else said


def _down(count: float) -> float:
    """What it surely is enough for: quarters up to three portions, then whole ones."""
    return float(int(count)) if count > 3 else int(count * 4) / 4


def _up(grams: float, words: Words) -> str:
    """Grams to have enough: rounded up to whole grams from 10 on."""
    return words.grams(float(ceil(grams - 1e-6)) if grams >= 10 else ceil(grams * 10 - 1e-6) / 10)


def money(sum_: float, currency: str, leads: bool, words: Words) -> str:
    """'€2.40', '2.40 EUR'."""
    text = words.number(sum_, 2)
    if not currency:
        return text
    return f"{currency}{text}" if leads else f"{text}\u202f{currency}"


def _costs(costs: Costs, made: PlanMade, words: Words) -> CostsView:
    def shown(cost: Cost) -> str:
        return money(cost.amount, costs.currency, costs.leads, words) if cost.known > 0 else "–"

    recipes = tuple(
        CostLine(line.title, shown(line.whole), shown(line.portion), words.percent(line.whole.known))
        for line in costs.recipes
    )
    days = tuple(
        CostLine(day_name(number, made, words), shown(cost), "", words.percent(cost.known))
        for number, cost in costs.days
    )
    dates = costs.oldest if costs.oldest == costs.newest else f"{costs.oldest} – {costs.newest}"
    return CostsView(
        recipes=recipes,
        days=days,
        total=shown(costs.total),
        total_known=words.percent(costs.total.known),
        till=money(costs.till, costs.currency, costs.leads, words),
        note=words("plan.cost_note", n=costs.till_unpriced, dates=dates or words("plan.cost_undated")),
    )


def text(made: PlanMade, words: Words) -> bytes:
    """The list as plain text, to print or to send."""
    lines = [words("plan.list_of", title=made.plan.title), ""]
    for aisle, items in made.shopping.aisles:
        lines.append(aisle.name)
        for item in items:
            more = ", ".join(_more(item, words))
            lines.append(f"  [ ] {item.food.name}: {amount(item, words)}" + (f" ({more})" if more else ""))
            left = left_over(item, words)
            if left:
                lines.append(f"        {left}")
        lines.append("")
    if made.shopping.house:
        lines.append(words("plan.house"))
        lines += [f"  {item.food.name}: {_up(item.house_g, words)}" for item in made.shopping.house]
        if not made.shopping.checked_dates:
            lines.append(f"  {words('plan.house_dates')}")
    return ("\n".join(lines).rstrip() + "\n").encode()


def table(made: PlanMade) -> bytes:
    """The list as CSV (RFC 4180), numbers unrounded; everything that is needed, also what is in the house."""
    aisle_of = {item.food.id: aisle.name for aisle, items in made.shopping.aisles for item in items}
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    for item in made.shopping.items:
        price: Price | None = None if item.pack is None else item.pack.price
        writer.writerow(
            [
                _cell(aisle_of.get(item.food.id, "")),
                _cell(item.food.name),
                item.food.id,
                f"{item.needed_g:.6g}",
                f"{item.house_g:.6g}",
                item.packs if item.pack is not None else "",
                "" if item.pack is None else f"{item.pack.usable_g:.6g}",
                "0" if item in made.shopping.free else f"{item.bought_g:.6g}",
                f"{item.left_g:.6g}",
                "" if price is None else f"{price.amount:g}",
                "" if price is None else _cell(price.currency),
                "" if price is None else price.date,
                _cell("; ".join(title for title, _ in item.uses)),
            ]
        )
    return out.getvalue().encode()


def _cell(text: str) -> str:
    """A text that a spreadsheet does not take for a formula."""
    return f"'{text}" if text[:1] in ("=", "+", "-", "@", "\t") else text
