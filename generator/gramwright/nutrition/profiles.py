"""Foods as arrays. Takes a food and its preparation, gives what one gram holds of every tag, and how loosely.

Recipes are summed over these arrays: one array place a tag, the same place in
every food. Profiles are kept for the life of a `ProfileShelf` (one a process).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from math import sqrt

from gramwright.model import Food, Tag
from gramwright.nutrition.looseness import Looseness
from gramwright.nutrition.plausible import Plausible
from gramwright.nutrition.retention import Retention

ALCOHOL_KJ_PER_G = 29.0
"""kJ in 1 g of ethanol (Regulation (EU) 1169/2011, Annex XIV): what table energy loses with driven-off alcohol."""

TAG_ORDER: tuple[Tag, ...] = tuple(
    "ENERC_kJ WATER_g PROCNT_g FAT_g FASAT_g FAMS_g FAPU_g FATRN_g CHOAVL_g CHOCDF_g SUGAR_g SUGAD_g STARCH_g "
    "POLYL_g ERYTHL_g FIBTG_g ALC_g OA_g CHOLE_mg NA_mg K_mg CA_mg FE_mg MG_mg P_mg ZN_mg CU_mg MN_mg SE_ug ID_ug "
    "VITA_ug VITA_RAE_ug VITC_mg VITD_ug VITE_mg VITK_ug THIA_mg RIBF_mg NIA_mg VITB6_mg FOL_ug VITB12_ug".split()
)
"""Order of the components in every result; others follow by name."""

_LISTED = frozenset(TAG_ORDER)
_SHELF_LIMIT = 20_000
_MOST_MIXES = 64


@dataclass(frozen=True, slots=True, eq=False)
class Mix:
    """A linear combination by array place; kept and compared by identity (`ProfileShelf.mix`)."""

    weights: tuple[tuple[int, float], ...]
    required: frozenset[int]
    """Places that decide coverage; the others count as none where they are unknown."""
    most: float | None
    """The most that a gram of food could come to, when every part is counted in grams: the largest weight."""


class Blend:
    """A linear combination of one profile's components, per gram of the food."""

    __slots__ = ("amount", "covered", "down2", "high", "low", "up2")

    def __init__(self, amount: float, down2: float, up2: float, low: float, high: float, covered: bool) -> None:
        self.amount = amount
        self.down2 = down2
        """Squared half-width below, and above."""
        self.up2 = up2
        self.low = low
        """What is added up rather than combined, downwards and upwards: skews and unknown parts."""
        self.high = high
        self.covered = covered


Term = tuple[int, float, float, float, float]
"""Array place; amount, its square, and the squared half-widths below and above, all per gram of food."""

Sides = tuple[float, float, float, float]
"""Half-widths below and above that combine in quadrature, and the skews below and above that add up.

A value with 0.3 below and 2.1 above is, in the middle of what is likely, 0.9
higher than it says. Of one value that is looseness, of twelve it is a shift:
half of the difference is added up, the rest is combined.
"""


def sides(down: float, up: float) -> Sides:
    """Splits uneven half-widths into an even part and a skew; each end alone stays where it was."""
    skew = (up - down) / 2
    return (down, up - skew, 0.0, skew) if skew > 0 else (down + skew, up, -skew, 0.0)


class Profile:
    """One food after one preparation, per gram."""

    __slots__ = (
        "_blends", "_expected", "_known", "amounts", "code", "food", "gaps", "halves", "skews", "tags", "terms",
    )  # fmt: skip

    def __init__(
        self,
        food: Food,
        code: str | None,
        known: Mapping[Tag, tuple[int, float, float, float]],
        gaps: tuple[tuple[int, float], ...],
        expected: frozenset[int] = frozenset(),
    ) -> None:
        self.food = food
        self.code = code
        self.tags: tuple[Tag, ...] = tuple(known)
        """Known components in result order, with `amounts` beside them."""
        self.amounts: tuple[float, ...] = tuple(amount for _, amount, _, _ in known.values())
        self.halves: dict[int, Sides] = {place: sides(down, up) for place, _, down, up in known.values()}
        self.terms: tuple[Term, ...] = tuple(
            (place, amount, amount * amount, self.halves[place][0] ** 2, self.halves[place][1] ** 2)
            for place, amount, _, up in known.values()
            if amount or up
        )
        """What there is to sum: known components that are not a true nothing."""
        self.skews: tuple[tuple[int, float, float], ...] = tuple(
            (place, below, above) for place, (_, _, below, above) in self.halves.items() if below or above
        )
        self.gaps = gaps
        """Unknown components: array place and the most that a gram could hold."""
        self._expected = expected
        """Places that widen a combination where they are unknown, required or not."""
        self._known = {place: amount for place, amount, _, _ in known.values()}
        self._blends: dict[Mix, Blend] = {}

    def amount_at(self, place: int) -> float:
        """The known amount of a component per gram; nothing where it is unknown."""
        return self._known.get(place, 0.0)

    def blend(self, mix: Mix) -> Blend:
        """A weighed sum of components. Unknown parts count only when required; see `figures.combine`."""
        found = self._blends.get(mix)
        if found is None:
            if len(self._blends) >= _MOST_MIXES:
                self._blends.clear()
            found = self._blends[mix] = self._make(mix)
        return found

    def _make(self, mix: Mix) -> Blend:
        gaps = dict(self.gaps)
        amount = down2 = up2 = low = high = 0.0
        for place, weight in mix.weights:
            if place not in gaps:
                amount += weight * self._known[place]
                down, up, below, above = self.halves[place]
                if weight < 0:
                    down, up, below, above = up, down, above, below
                down2 += (weight * down) ** 2
                up2 += (weight * up) ** 2
                low += abs(weight) * below
                high += abs(weight) * above
            elif place in mix.required or place in self._expected:
                if weight < 0:
                    low -= weight * gaps[place]
                else:
                    high += weight * gaps[place]
        if mix.most is not None:  # a gram of food has one gram to share out among its parts
            room = max(0.0, mix.most - amount)
            high = min(high, room)  # first: only so does an unknown part never lower the upper end
            up2 = min(up2, (room - high) ** 2)
        return Blend(amount, down2, up2, low, high, not any(place in gaps for place in mix.required))


class ProfileShelf:
    """Makes profiles and keeps them. `version` changes when a new tag turns up, since it is unknown to all others."""

    def __init__(self, looseness: Looseness, plausible: Plausible) -> None:
        self._looseness = looseness
        self._plausible = plausible
        self._profiles: dict[tuple[int, str | None], Profile] = {}
        self._mixes: dict[tuple[tuple[tuple[Tag, float], ...], frozenset[Tag]], Mix] = {}
        self.version = 0
        self.places: dict[Tag, int] = {}
        self.order: tuple[tuple[Tag, int], ...] = ()
        """Tags in result order with their array places."""
        self.learn(("ENERC_kJ", "WATER_g"))
        self.water = self.places["WATER_g"]

    def get(self, food: Food, retention: Retention | None) -> Profile:
        """The profile of a food after a preparation (None: as it is)."""
        code = None if retention is None else retention.code
        key = (id(food), code)
        found = self._profiles.get(key)
        if found is not None and found.food is food:
            return found
        self.learn(food.values)
        if len(self._profiles) >= _SHELF_LIMIT:
            self._profiles.clear()
        made = self._profiles[key] = self._make(food, retention)
        return made

    def mix(self, weights: Mapping[Tag, float], required: Iterable[Tag]) -> Mix:
        """A combination, the same object for the same weights and requirements."""
        key = (tuple(weights.items()), frozenset(required))
        found = self._mixes.get(key)
        if found is not None:
            return found
        self.learn((*weights, *key[1]))
        in_grams = all(weight < 0 or tag.endswith("_g") for tag, weight in weights.items())
        if len(self._mixes) >= _MOST_MIXES:
            self._mixes.clear()
        made = self._mixes[key] = Mix(
            tuple((self.places[tag], weight) for tag, weight in weights.items() if weight),
            frozenset(self.places[tag] for tag in key[1]),
            max(weights.values(), default=0.0) if in_grams else None,
        )
        return made

    def learn(self, tags: Iterable[Tag]) -> None:
        """Gives tags that were never met their array place; every profile is made anew then."""
        new = sorted({tag for tag in tags if tag not in self.places})
        if not new:
            return
        for tag in new:
            self.places[tag] = len(self.places)
        listed = [tag for tag in TAG_ORDER if tag in self.places]
        others = sorted(tag for tag in self.places if tag not in _LISTED)
        self.order = tuple((tag, self.places[tag]) for tag in (*listed, *others))
        self._profiles.clear()
        self.version += 1

    def _make(self, food: Food, retention: Retention | None) -> Profile:
        sides = {
            tag: (value.amount, *self._looseness.sides(tag, value, food.quality)) for tag, value in food.values.items()
        }
        kept = {} if retention is None else retention.kept
        loss = 0.0  # of table energy, with the alcohol
        if "ALC_g" in sides:
            loss = ALCOHOL_KJ_PER_G * sides["ALC_g"][0] * (1 - kept.get("ALC_g", 1.0))
        gaps: list[tuple[int, float]] = []
        known: dict[Tag, tuple[int, float, float, float]] = {}
        for tag, place in self.order:
            limit = self._plausible.limit(food, tag, sides)
            if tag not in sides:
                gaps.append((place, limit / 100))
                continue
            amount, below, above = sides[tag]
            above = max(0.0, min(above, limit - amount))
            share = kept.get(tag, 1.0)
            if tag == "ENERC_kJ" and loss:
                amount = max(0.0, amount - loss)
            if share < 1:
                above, below = self._after_loss(amount, below, above, share)
                amount *= share
            known[tag] = (place, amount / 100, min(below, amount) / 100, above / 100)
        expected = frozenset(
            self.places[tag]
            for tag, groups in self._plausible.expected.items()
            if food.group in groups and tag in self.places
        )
        return Profile(food, None if retention is None else retention.code, known, tuple(gaps), expected)

    def _after_loss(self, amount: float, below: float, above: float, share: float) -> tuple[float, float]:
        """Half-widths above and below once a share is kept; never above what was there to begin with."""
        own = amount * self._looseness.retention
        high = min(sqrt((above * share) ** 2 + own * own), amount + above - amount * share)
        return high, sqrt((below * share) ** 2 + own * own)
