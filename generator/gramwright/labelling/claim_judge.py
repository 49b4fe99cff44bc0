"""Weighs one claim for one dish. Takes its conditions, gives yes, no or None: something not known could overturn it.

Figures are unrounded, of the food as eaten, rows as written (optional ones left out).

* "at most": every row's value must be known (a gap may hide anything), and what
  rows "to taste" may bring must still fit;
* "at least": the known part must reach the limit by itself;
* shares of energy and amounts per 100 kcal: the parts and the rule set's factor
  energy must be known for every row; the less favourable of kJ and kcal counts;
* per 100 g: the finished weight must be measured or given as a factor;
* drinks: the limit per 100 ml, met at any plausible density.

What holds by the figures is then tried at the far end of their likely ranges, the one
towards the limit (labelling.claim_range): that changes no verdict, but it is said.
"""

from __future__ import annotations

from enum import StrEnum
from typing import NamedTuple

from gramwright.labelling import claim_range, claim_text, rulesets
from gramwright.labelling.claim_data import claim_data
from gramwright.labelling.claim_rows import Answer, answer, leaves, salts
from gramwright.labelling.energy import COMPLETE, Energy
from gramwright.labelling.rules_model import Basis, Case, ClaimRule, Condition, EnergyTerm, Rows, RuleSet
from gramwright.model import ClaimFinding, Dish, Figure, Scale, Tag, Weight

FATTY_ACIDS: tuple[Tag, ...] = ("FASAT_g", "FAMS_g", "FAPU_g")

_ENERGY = ("ENERC_kJ", "ENERC_kcal")


class Lack(StrEnum):
    """What keeps a condition from being decided."""

    NOTHING = ""
    VALUE = "value"
    ENERGY = "energy"
    WEIGHT = "weight"
    TASTE = "taste"
    DENSITY = "density"


class Reading(NamedTuple):
    """A condition as met: `amount` on its basis (None: nothing known), against `limit`."""

    condition: Condition
    amount: float | None
    limit: float
    holds: bool | None
    lack: Lack = Lack.NOTHING


class Judge:
    """Weighs claims for one dish under one rule set; what the dish gives is looked up once."""

    def __init__(self, dish: Dish, rules: RuleSet, energy: Energy, ends: tuple[float, float] = (1.0, 1.0)) -> None:
        """`rules` decide the language of what is said; `ends` are those of the finished weight, as shares of it
        (nutrition.parts.finished_ends; left out: no looser than it is written)."""
        data = claim_data()
        portion = dish.portion_g
        self.dish = dish
        self.rules = rules
        self.liquid = not data.drink_words.isdisjoint(word.lower() for word in (*dish.page.meals, *dish.page.tags))
        self.main_dish = rules.main_dish_g is not None and portion is not None and portion >= rules.main_dish_g
        self._near = data.near
        self._weight_known = dish.finished_by in (Weight.MEASURED, Weight.FACTOR) and dish.basis_g > 0
        self._energy = energy
        self._ends = ends
        kj, kcal = energy.factor_kj, energy.factor_kcal
        whole = kj is not None and kcal is not None and kcal.coverage >= COMPLETE and kj.amount > 0 and kcal.amount > 0
        self._whole = (kj.amount, kcal.amount) if whole and kj is not None and kcal is not None else None
        rows = leaves(dish)
        self.foods = [food for food, _ in rows]
        self._taste = [food for food, scale in rows if scale is Scale.TASTE]
        self.salted = any(salts(food) for food in self._taste)
        """Whether some row is salt, or as good as salt, to taste: it counts as nothing in the figures."""
        self._scale = {
            Basis.PER_100G: 100 / dish.basis_g if dish.basis_g > 0 else 0.0,
            Basis.PER_50G: 50 / dish.basis_g if dish.basis_g > 0 else 0.0,
            Basis.PER_PORTION: 1 / dish.page.portions,
        }
        self._sums: dict[tuple[Tag, ...], tuple[float, bool, bool]] = {}
        self._readings: dict[int, Reading] = {}
        self._verdicts: dict[int, object] = {}
        self._answers: dict[Rows, Answer] = {}

    def in_english(self) -> Judge:
        """The same judge for problems, which speak English; itself where it already does."""
        rules = self.rules
        return (
            self
            if rules.spoken.language == "en"
            else Judge(self.dish, rulesets.load(rules.id), self._energy, self._ends)
        )

    # ------------------------------------------------------------ claims

    def worth(self) -> list[ClaimRule]:
        """All claims but those that, as a look at the amounts shows, neither hold nor are near misses."""
        rules, totals = self.rules, self.dish.totals
        claims = list(rules.single_claims)
        for tag, series in rules.claim_series.items():
            if tag in totals:
                claims += series
        if self.liquid:
            return claims
        figure, scale, found = self._figure, self._scale, []
        for claim in claims:
            for case in claim.screen if not (self.main_dish and claim.main_dish) else ((),):
                for tag, basis, at_least, bound in case:
                    known = figure(tag)
                    if known is None or (known.amount * scale[basis] < bound) is at_least:
                        break
                else:
                    found.append(claim)
                    break
        return found

    def holds(self, claim: ClaimRule) -> bool | None:
        """Whether a claim holds, without words: the quick way through all claims of a rule set."""
        if claim.only is not None:
            return self.read(claim.only).holds
        outcome: bool | None = False
        for case in self.cases(claim):
            verdict = self._case(case)
            if verdict:
                return True
            if verdict is None:
                outcome = None
        return outcome

    def near(self, claim: ClaimRule) -> bool:
        """Whether a claim that fails does so by a little in all that it lacks."""
        for case in self.cases(claim):
            for condition in case.conditions:
                reading = self.read(condition)
                if not reading.holds and (reading.holds is None or claim_text.relative(reading) > self._near):
                    break
            else:
                if not case.rows or all(said.holds for said in self._rows(case)):
                    return True
        return False

    def find(self, claim: ClaimRule, *, asked: bool) -> ClaimFinding:
        """The claim weighed, in words; a near miss when it fails (only a small one when nobody asked)."""
        if claim.only is not None:
            reading = self.read(claim.only)
            holds = reading.holds
            because = claim_text.condition(reading, self.dish, self.rules)
        else:
            cases = self.cases(claim)
            verdicts = [self._case(case) for case in cases]
            holds = True if True in verdicts else None if None in verdicts else False
            telling = [case for case, verdict in zip(cases, verdicts, strict=True) if verdict is holds]
            because = self.rules.spoken["join.cases"].join(
                claim_text.case([self.read(c) for c in case.conditions], self._rows(case), self.dish, self.rules, holds)
                for case in (telling[:1] if holds else telling)
            )
        near_miss = "" if holds is not False else self._miss(claim, asked)
        beside = claim.companion if holds else None
        companion = "" if beside is None or self._none(beside.tag) else beside.text
        doubt = self.rules.spoken["claim.far"] if holds and not self.far(claim) else ""
        return ClaimFinding(claim.name, holds, because, asked, near_miss, claim.shown, companion, doubt)

    def far(self, claim: ClaimRule) -> bool:
        """Whether a claim holds at the far ends of the likely ranges too."""
        return any(
            all(self._read(condition, far=True).holds for condition in case.conditions)
            and all(said.holds for said in self._rows(case))
            for case in self.cases(claim)
        )

    def cases(self, claim: ClaimRule) -> tuple[Case, ...]:
        """The claim's cases for this dish: as a meal where the law tells meals from other food."""
        return claim.main_dish if self.main_dish and claim.main_dish else claim.cases

    def _case(self, case: Case) -> bool | None:
        found = self._verdicts.get(id(case), self)
        if found is self:
            found = self._verdicts[id(case)] = self._decide(case)
        return found  # type: ignore[return-value]

    def _decide(self, case: Case) -> bool | None:
        outcome: bool | None = True
        for condition in case.conditions:
            verdict = self.read(condition).holds
            if verdict is False:
                return False
            if verdict is None:
                outcome = None
        for said in self._rows(case) if case.rows else ():
            if said.holds is False:
                return False
            if said.holds is None:
                outcome = None
        return outcome

    def _rows(self, case: Case) -> list[Answer]:
        return [self._row(rows) for rows in case.rows]

    def _row(self, rows: Rows) -> Answer:
        found = self._answers.get(rows)
        if found is None:
            rules = self.rules
            found = self._answers[rows] = answer(rows, self.foods, rules.claims_law, self.liquid, rules.spoken)
        return found

    def _miss(self, claim: ClaimRule, asked: bool) -> str:
        found: list[tuple[float, str]] = []
        for case in self.cases(claim):
            readings = [self.read(condition) for condition in case.conditions]
            if any(said.holds is not True for said in self._rows(case)):
                continue
            miss = claim_text.miss(readings, self.gap_g, self.rules.spoken)
            if miss is not None and (asked or miss[0] <= self._near):
                found.append(miss)
        return self.rules.spoken.say("claim.miss", gaps=min(found)[1], claim=claim.shown) if found else ""

    # ------------------------------------------------------------ conditions

    def read(self, condition: Condition) -> Reading:
        """A condition (of this rule set) against the dish's figures; each is read once."""
        found = self._readings.get(id(condition))
        if found is None:
            found = self._readings[id(condition)] = self._read(condition)
        return found

    def _read(self, condition: Condition, *, far: bool = False) -> Reading:
        scale = self._scale.get(condition.basis)
        if scale is None:
            return self._ratio(condition, far=far)
        amount, known, complete = self._sum(condition.tags)
        per_weight = condition.basis is not Basis.PER_PORTION
        if far:
            lightest, heaviest = self._ends if per_weight else (1.0, 1.0)
            amount = claim_range.end(map(self._figure, condition.tags), low=condition.at_least)
            scale /= heaviest if condition.at_least else lightest
        liquid = self.liquid and per_weight
        limit = condition.liquid if liquid else condition.limit
        if not known:
            return Reading(condition, None, limit, None, Lack.VALUE)
        value = amount * scale
        passes = _passes(condition, value, limit)
        if liquid:
            data = claim_data()
            thin, thick = value * data.density_low, value * data.density_high
            if _passes(condition, thin, limit) is not _passes(condition, thick, limit):
                return Reading(condition, value, limit, None, Lack.DENSITY)
            passes = _passes(condition, thin, limit)
        if not complete and passes is not condition.at_least:
            return Reading(condition, value, limit, None, Lack.VALUE)
        if per_weight and not self._weight_known:
            return Reading(condition, value, limit, None, Lack.WEIGHT)
        if passes and not condition.at_least and self._taste:
            extra = self._seasoning(condition.tags)
            if extra is None or not _passes(condition, value + extra * self.dish.page.portions * scale, limit):
                return Reading(condition, value, limit, None, Lack.TASTE)
        return Reading(condition, value, limit, passes)

    def _sum(self, tags: tuple[Tag, ...]) -> tuple[float, bool, bool]:
        """Amount in the batch, whether anything is known, whether it is known for every row."""
        found = self._sums.get(tags)
        if found is None:
            amount, known, complete = 0.0, False, True
            for tag in tags:
                figure = self._figure(tag)
                if figure is None:
                    complete = False
                else:
                    known = True
                    amount += figure.amount
                    complete = complete and figure.coverage >= COMPLETE
            found = self._sums[tags] = (amount, known, complete)
        return found

    def _none(self, tag: Tag) -> bool:
        """Whether the dish is known, row by row, to hold none of it."""
        amount, _, complete = self._sum((tag,))
        return complete and amount <= 0

    def _figure(self, tag: Tag) -> Figure | None:
        if tag in _ENERGY:
            return self._energy.factor_kj if tag == "ENERC_kJ" else self._energy.factor_kcal
        return self.dish.totals.get(tag)

    def _seasoning(self, tags: tuple[Tag, ...]) -> float | None:
        """What rows to taste may bring to a portion, in the tags' unit; None: not known."""
        extra = 0.0
        for food in self._taste:
            for tag in tags:
                value = food.values.get(tag)
                if value is None:
                    return None
                extra += value.amount * claim_data().to_taste_g / 100
        return extra

    def _ratio(self, condition: Condition, *, far: bool) -> Reading:
        """Shares of energy, amounts per 100 kcal, shares of the fatty acids: everything in them must be known."""
        reading = self._share(condition)
        if not far or not reading.amount:
            return reading
        low = condition.at_least
        if condition.basis is Basis.FATTY_ACIDS:
            parts = [(self._figure(tag), 1.0) for tag in condition.tags]
            loose = claim_range.of_shares(parts, [(self._figure(tag), 1.0) for tag in FATTY_ACIDS], low=low)
        else:
            parts = [(self._figure(tag), self._term(tag).kcal) for tag in condition.tags]
            loose = claim_range.of_shares(parts, [(self._energy.factor_kcal, 1.0)], low=low)
        value = reading.amount * (1 - loose if low else 1 + loose)
        return reading._replace(amount=value, holds=reading.holds and _passes(condition, value, reading.limit))

    def _share(self, condition: Condition) -> Reading:
        limit, tags, basis = condition.limit, condition.tags, condition.basis
        amount, known, complete = self._sum(tags)
        if basis is Basis.FATTY_ACIDS:
            whole, _, whole_known = self._sum(FATTY_ACIDS)
            if not (complete and whole_known) or whole <= 0:
                return Reading(condition, None, limit, None, Lack.VALUE)
            return Reading(condition, amount / whole, limit, _passes(condition, amount / whole, limit))
        if not known or not complete:
            return Reading(condition, None, limit, None, Lack.VALUE)
        if self._whole is None:
            return Reading(condition, None, limit, None, Lack.ENERGY)
        kj, kcal = self._whole
        if basis is Basis.PER_100KCAL:
            value = 100 * amount / kcal
        elif len(tags) == 1:
            term = self._term(tags[0])
            shares = (amount * term.kj / kj, amount * term.kcal / kcal)
            value = min(shares) if condition.at_least else max(shares)
        else:
            parts = [(self._sum((tag,))[0], self._term(tag)) for tag in tags]
            shares = (sum(g * term.kj for g, term in parts) / kj, sum(g * term.kcal for g, term in parts) / kcal)
            value = min(shares) if condition.at_least else max(shares)
        return Reading(condition, value, limit, _passes(condition, value, limit))

    def gap_g(self, condition: Condition) -> float | None:
        """Grams a portion, more or less, that would make up for a share of energy or per 100 kcal that fails.

        What is added brings energy itself: (amount + gap) must meet the limit in (energy + gap x factor).
        """
        if self._whole is None:
            return None
        (kj, kcal), limit = self._whole, condition.limit
        term = self._term(condition.tags[0])
        if condition.basis is Basis.PER_100KCAL:
            left = 1 - limit * term.kcal / 100
            gap = abs(limit * kcal / 100 - self._sum(condition.tags)[0]) / left if left > 0 else None
        else:
            parts = [(self._sum((tag,))[0], self._term(tag)) for tag in condition.tags]
            gap = max(
                abs(limit * kj - sum(g * term.kj for g, term in parts)) / (term.kj * (1 - limit)),
                abs(limit * kcal - sum(g * term.kcal for g, term in parts)) / (term.kcal * (1 - limit)),
            )
        return None if gap is None else gap / self.dish.page.portions

    def _term(self, tag: Tag) -> EnergyTerm:
        """The energy term of a component: its own, or that of fat for fatty acids."""
        for term in self.rules.energy.terms:
            if term.add == tag:
                return term
        return self.rules.energy.factor("fat")


def _passes(condition: Condition, value: float, limit: float) -> bool:
    """Compared at twelve significant digits: what binary arithmetic leaves behind decides nothing."""
    if abs(value - limit) <= 1e-12 * abs(limit):
        return not condition.strict
    return value > limit if condition.at_least else value < limit
