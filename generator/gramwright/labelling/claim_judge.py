"""Weighs one claim for one dish. Takes its conditions, gives yes, no or None: something not known could overturn it.

Figures are unrounded, of the food as eaten, rows as written (optional ones left out).

* "at most": every row's value must be known (a gap may hide anything), and what
  rows "to taste" may bring must still fit;
* "at least": the known part must reach the limit by itself;
* shares of energy and amounts per 100 kcal: the parts and the rule set's factor
  energy must be known for every row; the less favourable of kJ and kcal counts;
* per 100 g: the finished weight must be measured or given as a factor;
* drinks: the limit per 100 ml, met at any plausible density.
"""

from __future__ import annotations

from enum import StrEnum
from typing import NamedTuple

from gramwright.labelling import claim_text
from gramwright.labelling.claim_data import claim_data
from gramwright.labelling.claim_rows import Answer, answer, to_taste
from gramwright.labelling.energy import COMPLETE, Energy
from gramwright.labelling.rules_model import Basis, Case, ClaimRule, Condition, EnergyTerm, Rows, RuleSet
from gramwright.model import ClaimFinding, Dish, Figure, Tag, Weight

FATTY_ACIDS: tuple[Tag, ...] = ("FASAT_g", "FAMS_g", "FAPU_g")

_ENERGY = {"ENERC_kJ", "ENERC_kcal"}


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
    gap_g: float | None = None
    """Grams a portion that would make up for a share of energy that fails."""


class Judge:
    """Weighs claims for one dish under one rule set; what the dish gives is looked up once."""

    def __init__(self, dish: Dish, rules: RuleSet, energy: Energy) -> None:
        data = claim_data()
        portion = dish.portion_g
        self.dish = dish
        self.rules = rules
        self.liquid = not data.drink_words.isdisjoint(word.lower() for word in (*dish.page.meals, *dish.page.tags))
        self.main_dish = rules.main_dish_g is not None and portion is not None and portion >= rules.main_dish_g
        self._weight_known = dish.finished_by in (Weight.MEASURED, Weight.FACTOR) and dish.basis_g > 0
        self._energy = energy
        self._taste = to_taste(dish)
        self._scale = {
            Basis.PER_100G: 100 / dish.basis_g if dish.basis_g > 0 else 0.0,
            Basis.PER_50G: 50 / dish.basis_g if dish.basis_g > 0 else 0.0,
            Basis.PER_PORTION: 1 / dish.page.portions,
        }
        self._sums: dict[tuple[Tag, ...], tuple[float, bool, bool]] = {}
        self._readings: dict[int, Reading] = {}
        self._answers: dict[Rows, Answer] = {}

    # ------------------------------------------------------------ claims

    def worth(self, claim: ClaimRule) -> bool:
        """False only where a look at the amounts shows that a claim neither holds nor is a near miss."""
        if self.liquid or (self.main_dish and claim.main_dish):
            return True
        figure, scale = self._figure, self._scale
        for case in claim.screen:
            for tag, basis, at_least, bound in case:
                found = figure(tag)
                if found is None or (found.amount * scale[basis] < bound) is at_least:
                    break
            else:
                return True
        return False

    def holds(self, claim: ClaimRule) -> bool | None:
        """Whether a claim holds, without words: the quick way through all claims of a rule set."""
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
        return any(
            all(claim_text.near(self.read(condition)) for condition in case.conditions)
            and all(said.holds for said in self._rows(case))
            for case in self.cases(claim)
        )

    def find(self, claim: ClaimRule, *, asked: bool) -> ClaimFinding:
        """The claim weighed, in words; a near miss when it fails (only a small one when nobody asked)."""
        cases = self.cases(claim)
        verdicts = [self._case(case) for case in cases]
        holds = True if True in verdicts else None if None in verdicts else False
        telling = [case for case, verdict in zip(cases, verdicts, strict=True) if verdict is holds]
        said = [
            claim_text.case([self.read(c) for c in case.conditions], self._rows(case), self.dish, self.rules, holds)
            for case in (telling[:1] if holds else telling)
        ]
        return ClaimFinding(claim.name, holds, "; or ".join(said), asked, self._miss(claim, holds, asked=asked))

    def cases(self, claim: ClaimRule) -> tuple[Case, ...]:
        """The claim's cases for this dish: as a meal where the law tells meals from other food."""
        return claim.main_dish if self.main_dish and claim.main_dish else claim.cases

    def _case(self, case: Case) -> bool | None:
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
            found = self._answers[rows] = answer(rows, self.dish, self.rules.claims_law, self.liquid)
        return found

    def _miss(self, claim: ClaimRule, holds: bool | None, *, asked: bool) -> str:
        if holds is not False:
            return ""
        found: list[tuple[float, str]] = []
        for case in self.cases(claim):
            readings = [self.read(condition) for condition in case.conditions]
            if any(said.holds is not True for said in self._rows(case)):
                continue
            miss = claim_text.miss(readings, self.rules)
            if miss is not None and (asked or miss[0] <= claim_data().near):
                found.append(miss)
        return f"{min(found)[1]} would allow {claim.name}" if found else ""

    # ------------------------------------------------------------ conditions

    def read(self, condition: Condition) -> Reading:
        """A condition (of this rule set) against the dish's figures; each is read once."""
        found = self._readings.get(id(condition))
        if found is None:
            found = self._readings[id(condition)] = self._read(condition)
        return found

    def _read(self, condition: Condition) -> Reading:
        scale = self._scale.get(condition.basis)
        if scale is None:
            return self._ratio(condition)
        amount, known, complete = self._sum(condition.tags)
        per_weight = condition.basis is not Basis.PER_PORTION
        liquid = self.liquid and per_weight
        limit = condition.liquid if liquid and condition.liquid is not None else condition.limit
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

    def _ratio(self, condition: Condition) -> Reading:
        """Shares of energy, amounts per 100 kcal, shares of the fatty acids: everything in them must be known."""
        limit = condition.limit
        amount, known, complete = self._sum(condition.tags)
        if condition.basis is Basis.FATTY_ACIDS:
            whole, _, whole_known = self._sum(FATTY_ACIDS)
            if not (complete and whole_known) or whole <= 0:
                return Reading(condition, None, limit, None, Lack.VALUE)
            return Reading(condition, amount / whole, limit, _passes(condition, amount / whole, limit))
        kj, kcal = self._energy.factor_kj, self._energy.factor_kcal
        if not known or not complete:
            return Reading(condition, None, limit, None, Lack.VALUE)
        if kj is None or kcal is None or kcal.coverage < COMPLETE or kcal.amount <= 0 or kj.amount <= 0:
            return Reading(condition, None, limit, None, Lack.ENERGY)
        if condition.basis is Basis.PER_100KCAL:
            value = 100 * amount / kcal.amount
            gains = 1 - limit * self._term(condition.tags[0]).kcal / 100
            gap = (limit * kcal.amount / 100 - amount) / gains if gains > 0 else None
        else:
            terms = [self._term(tag) for tag in condition.tags]
            parts = [self._sum((tag,))[0] for tag in condition.tags]
            by_kj = sum(part * term.kj for part, term in zip(parts, terms, strict=True)) / kj.amount
            by_kcal = sum(part * term.kcal for part, term in zip(parts, terms, strict=True)) / kcal.amount
            value = min(by_kj, by_kcal) if condition.at_least else max(by_kj, by_kcal)
            gap = (
                max(
                    (limit - by_kj) * kj.amount / (terms[0].kj * (1 - limit)),
                    (limit - by_kcal) * kcal.amount / (terms[0].kcal * (1 - limit)),
                )
                if condition.at_least
                else min(
                    (limit - by_kj) * kj.amount / (terms[0].kj * (1 - limit)),
                    (limit - by_kcal) * kcal.amount / (terms[0].kcal * (1 - limit)),
                )
            )
        per_portion = None if gap is None else abs(gap) / self.dish.page.portions
        return Reading(condition, value, limit, _passes(condition, value, limit), Lack.NOTHING, per_portion)

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
