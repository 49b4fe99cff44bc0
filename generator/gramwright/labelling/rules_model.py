"""The frozen records of a rule set. Gives the vocabulary of this room; ruleset_reader fills it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import NamedTuple

from gramwright.labelling.rounding import Rounder
from gramwright.labelling.sentences import Sentences
from gramwright.model import Tag


class Checked(StrEnum):
    """How a figure was checked."""

    READ = "read"
    """In a copy of the publisher's text."""
    SECONDARY = "secondary copy"
    MEMORY = "from memory"
    PRACTICE = "common practice"
    """No published source."""


class Source(NamedTuple):
    """Where figures come from: publisher's document and section, what is taken from it, how that was checked."""

    cite: str
    what: str
    checked: Checked


class EnergyTerm(NamedTuple):
    """A part of the energy sum: (add - less) grams at the two factors, per gram."""

    key: str
    """protein, carbohydrate, fat, fibre, alcohol, polyols, acids."""
    add: Tag
    less: tuple[Tag, ...]
    kj: float
    kcal: float
    required: bool
    """Whether the sum is incomplete when `add` is not known; the others then count as none there."""
    source: Source


class EnergyRule(NamedTuple):
    """How a rule set computes and shows energy. The weights are the terms multiplied out, per gram."""

    terms: tuple[EnergyTerm, ...]
    primary: str
    """'kJ' or 'kcal': the one that leads."""
    shown: str
    """'{kJ} / {kcal}'; each stands for the rounded figure with its unit."""
    method: str
    weights_kj: Mapping[Tag, float]
    weights_kcal: Mapping[Tag, float]
    required: tuple[Tag, ...]

    def factor(self, key: str) -> EnergyTerm:
        """The term named `key`; every rule set has protein, fat and carbohydrate."""
        for term in self.terms:
            if term.key == key:
                return term
        raise KeyError(key)


class When(StrEnum):
    """When a line of the declaration is listed."""

    ALWAYS = "always"
    KNOWN = "known"
    PRESENT = "present"
    """Known and above zero."""
    SIGNIFICANT = "significant"
    """At least the rule set's significant share of the reference amount."""


class LineRule(NamedTuple):
    key: str
    tag: Tag
    """'' for the energy line."""
    level: int
    when: When
    name: str
    """The law's English name of the line."""


class Significance(NamedTuple):
    """When a vitamin or mineral may be listed: a share of its reference amount in 100 g or in a portion."""

    share: float
    basis: str


class Basis(StrEnum):
    """What a claim's amount is measured against."""

    PER_100G = "100 g"
    PER_PORTION = "portion"
    PER_50G = "50 g"
    PER_100KCAL = "100 kcal"
    ENERGY = "energy"
    """Share of the energy that comes from it, 0 to 1."""
    FATTY_ACIDS = "fatty acids"
    """Share of all fatty acids, 0 to 1."""


class Condition(NamedTuple):
    """One condition of a claim: the sum of `tags` on a basis against a limit."""

    basis: Basis
    tags: tuple[Tag, ...]
    at_least: bool
    """True: the amount must reach the limit; False: it must not exceed it."""
    limit: float
    strict: bool
    """The limit itself does not pass ('less than', 'more than')."""
    liquid: float
    """The limit for drinks, per 100 ml."""
    names: str
    """What is measured, inside a sentence: 'saturated fat and trans fat'."""
    said: str
    """'fat per 100 g', 'energy from protein': follows 'NUMBER UNIT of'."""
    rule: str
    """The limit in words: 'at most 3 g allowed'."""
    liquid_rule: str


class Rows(StrEnum):
    """Conditions that only the rows can answer."""

    NO_ADDED_SUGARS = "no added sugars"
    NO_ADDED_SALT = "no added salt"
    COMPARISON = "comparison"
    """Against a reference food: a recipe alone cannot show it."""
    UNLISTED = "not listed"
    """The law allows only the claims on its list, and this is none."""
    PROTEIN_QUALITY = "protein quality"
    """The law counts protein corrected for its digestibility."""
    LIQUID = "liquid"
    """Defined for drinks only."""


class Case(NamedTuple):
    """Conditions that must hold together."""

    conditions: tuple[Condition, ...]
    rows: tuple[Rows, ...] = ()


class Companion(NamedTuple):
    """What a law wants said beside a claim: `text`, in the language, wherever `tag` is not known to be none."""

    text: str
    tag: Tag


class ClaimRule(NamedTuple):
    """A claim: it holds when one of its cases does."""

    name: str
    shown: str
    """The name in the language of the rule set; an author may ask for the claim by it too."""
    also: tuple[str, ...]
    cases: tuple[Case, ...]
    only: Condition | None
    """The one condition of a claim that has no other and knows no meals: most claims."""
    main_dish: tuple[Case, ...]
    """Cases that apply instead when the portion weighs enough to be a meal; empty: the same cases."""
    weaker: tuple[str, ...]
    """Claims that this one makes needless to say."""
    each: Tag
    """The vitamin or mineral, for one of a series of claims; '' otherwise."""
    source: Source
    companion: Companion | None
    screen: tuple[tuple[tuple[Tag, Basis, bool, float], ...], ...]
    """Per case that can hold, its conditions on one tag as (tag, basis, at least, bound): a dish that does not know
    the tag, or (by weight or portion) lies beyond the bound, neither meets the case nor nearly does."""


class Guidance(NamedTuple):
    """A keeping or reheating figure with its unit: low and high differ for a range."""

    low: float
    high: float
    unit: str
    source: Source
    note: str = ""


@dataclass(frozen=True, slots=True)
class RuleSet:
    """One law's way of declaring food. Made by rulesets.load, never changed."""

    id: str
    family: str
    """The rule set whose data it shares ('eu' for 'uk'); its own id otherwise."""
    name: str
    law: str
    jurisdiction: str
    energy: EnergyRule
    columns: tuple[str, ...]
    """Columns the declaration wants, in order: 'per_100g', 'per_portion'."""
    lines: tuple[LineRule, ...]
    carbohydrate: Tag
    """The tag of what this law calls carbohydrate: CHOAVL_g, or CHOCDF_g (by difference, with fibre)."""
    salt: Tag
    """SALT_g or NA_mg: what the declaration shows."""
    rounders: Mapping[str, Rounder]
    """Tag or line key -> its rounding; '*_mg' for any other tag in that unit."""
    reference: Mapping[Tag, float]
    """Reference intakes a day, in the tag's unit."""
    share_rounders: Mapping[str, Rounder]
    """Line key -> rounding of its share in per cent; '*' for all others."""
    significance: Significance | None
    claims_law: str
    """The law that the claims' conditions stand in."""
    claims: Mapping[str, ClaimRule]
    single_claims: tuple[ClaimRule, ...]
    """The claims that are not of a series and can hold unasked, in the file's order."""
    claim_series: Mapping[Tag, tuple[ClaimRule, ...]]
    """Vitamin or mineral -> its claims."""
    claim_names: Mapping[str, str]
    """Folded name or synonym -> claim name."""
    main_dish_g: float | None
    leftovers: Mapping[str, Guidance]
    """fridge_days, freezer_months, cool_within_h, reheat_c ...: absent where no figure is known."""
    sources: tuple[Source, ...]
    spoken: Sentences
    """The language of everything that is said: `name`, `law`, conditions, what sources give, notes."""
    notes: tuple[str, ...] = field(default=())
    """Sentences for the method note: what is from memory, from a secondary copy, left out."""

    @property
    def names(self) -> dict[str, str]:
        """Line key -> the law's English name."""
        return {line.key: line.name for line in self.lines}
