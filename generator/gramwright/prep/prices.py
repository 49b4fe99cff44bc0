"""What the plan costs, as far as prices are known. Takes plates and the shopping list, gives costs with their dates.

A price is of one pack, dated. A dish costs the share of the packs that it uses;
the till takes whole packs. What has no price is not guessed: every cost says
for which share of the bought grams a price is known.
"""

from __future__ import annotations

from typing import NamedTuple

from gramwright.prep.needs import needs_of
from gramwright.prep.packs import Price
from gramwright.prep.plates import Plates
from gramwright.prep.recipes import Variant
from gramwright.prep.shopping import Shopping, portions_made


class Cost(NamedTuple):
    amount: float
    known: float
    """Share of the bought grams that has a price, 0 to 1."""


class RecipeCost(NamedTuple):
    slug: str
    title: str
    portions: float
    whole: Cost
    """Of all portions made."""

    @property
    def portion(self) -> Cost:
        return Cost(self.whole.amount / self.portions, self.whole.known)


class Costs(NamedTuple):
    """In one currency."""

    currency: str
    leads: bool
    recipes: tuple[RecipeCost, ...]
    days: tuple[tuple[int, Cost], ...]
    """(day number, cost of what is eaten on it)."""
    total: Cost
    till: float
    """What the packs on the list cost."""
    till_unpriced: int
    """Items on the list without a price."""
    oldest: str
    """ISO date of the oldest price; '' where none has a date."""
    newest: str


def currencies(shopping: Shopping) -> tuple[str, ...]:
    """Every currency of the list's prices, sorted."""
    prices = [item.pack.price for item in shopping.items if item.pack is not None and item.pack.price is not None]
    return tuple(sorted({price.code for price in prices}))


def costs(plates: Plates, shopping: Shopping) -> Costs | None:
    """None where no price is known, or where prices are in more than one currency."""
    priced: dict[str, tuple[Price, float]] = {}
    for item in shopping.items:
        if item.pack is not None and item.pack.price is not None:
            priced[item.food.id] = (item.pack.price, item.pack.usable_g)
    if len(currencies(shopping)) != 1:
        return None
    free = {item.food.id for item in shopping.free}

    def cost_of(portions: list[tuple[Variant, float]]) -> Cost:
        amount = known = whole = 0.0
        for variant, count in portions:
            for need in needs_of(variant.dish):
                if need.food.id in free:
                    continue
                grams = need.bought_g * count
                whole += grams
                found = priced.get(need.food.id)
                if found is not None:
                    known += grams
                    amount += found[0].amount * grams / found[1]
        return Cost(amount, known / whole if whole > 0 else 0.0)

    made: dict[str, list[tuple[Variant, float]]] = {}
    for portion in portions_made(plates):
        made.setdefault(portion.variant.slug, []).append((portion.variant, portion.portions))
    bought = [item for _, items in shopping.aisles for item in items]
    dates = sorted({price.date for price, _ in priced.values() if price.date})
    first = next(iter(priced.values()))[0]
    return Costs(
        currency=first.currency,
        leads=first.leads,
        recipes=tuple(
            RecipeCost(slug, portions[0][0].title, sum(count for _, count in portions), cost_of(portions))
            for slug, portions in made.items()
        ),
        days=tuple(
            (
                day.number,
                cost_of(
                    [(plate.variant, plate.portions) for plate in plates.plates if plate.serving.day == day.number]
                ),
            )
            for day in plates.plan.days
        ),
        total=cost_of([one for portions in made.values() for one in portions]),
        till=sum(item.packs * priced[item.food.id][0].amount for item in bought if item.food.id in priced),
        till_unpriced=sum(item.food.id not in priced for item in bought),
        oldest=dates[0] if dates else "",
        newest=dates[-1] if dates else "",
    )
