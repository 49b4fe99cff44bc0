"""A dish under one rule set: figures, declaration, allergens, claims, cautions."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from gramwright.model.dishes import Figure
from gramwright.model.foods import Tag
from gramwright.problems import Place


class Presence(StrEnum):
    """The three states, and what is said when none of them applies."""

    CONTAINS = "contains"
    MAY_CONTAIN = "may_contain"
    UNKNOWN = "unknown"
    NOT_RECORDED = "not_recorded"
    """None in the ingredients as recorded. Never 'free from'."""


@dataclass(frozen=True, slots=True)
class Why:
    """Why an allergen or a kind has its state: the row's food and the table line that says so."""

    food: str
    name: str
    place: Place
    source: str
    updated: str
    row: Place | None = None
    """The recipe row that brought the food in (in a sub-recipe: its row there)."""


@dataclass(frozen=True, slots=True)
class Excepted:
    """A named legal exception that is used: the allergen it is about is not counted, but this is always shown."""

    food: str
    name: str
    allergens: tuple[str, ...]
    text: str
    source: str


@dataclass(frozen=True, slots=True)
class AllergenFindings:
    """The rule set's allergens, each in exactly one state. Ids are canonical; `words` has the law's names."""

    states: Mapping[str, Presence]
    """Every allergen id of the rule set, in the law's order (specific cereals and nuts by name)."""
    words: Mapping[str, str]
    because: Mapping[str, tuple[Why, ...]]
    unresolved: frozenset[str] = frozenset()
    """Ids that some food leaves not known, whatever their state: one that may be contained can be
    in here too. A reader who chooses to see "may contain" is still not shown these."""
    groups: Mapping[str, Presence] = field(default_factory=dict)
    """'gluten cereals' and 'nuts' as a whole, also where the rule set does not list all of them."""
    excepted: tuple[Excepted, ...] = ()

    def __post_init__(self) -> None:
        if self.states.keys() != self.words.keys():
            raise ValueError("every allergen needs a state and a word")
        for name, state in self.states.items():
            if state is Presence.NOT_RECORDED:
                if name in self.unresolved:
                    raise ValueError(f"{name} is left not known by a food, so its state cannot be 'not recorded'")
            elif not self.because.get(name):
                raise ValueError(f"{name} is '{state.value}' without a reason")

    @property
    def open(self) -> tuple[str, ...]:
        """Ids that some food leaves not known and none contains, in order; some of them may be contained as well."""
        return tuple(
            name
            for name, state in self.states.items()
            if state is Presence.UNKNOWN or (name in self.unresolved and state is not Presence.CONTAINS)
        )

    def listed(self, presence: Presence) -> tuple[str, ...]:
        return tuple(name for name, state in self.states.items() if state is presence)


@dataclass(frozen=True, slots=True)
class DeclaredLine:
    """One line of the declaration as shown. Texts carry their unit; '' where there is nothing to say."""

    key: str
    """Word key of the line's name ('fat', 'saturates', 'salt' ...)."""
    tag: Tag
    level: int
    """0, or 1 for an 'of which' line."""
    per_100g: str
    per_portion: str
    share: str
    """Share of the reference intake per portion, '18 %'; '' where the rule set has none."""
    at_least: bool
    """True when coverage is below 1, or when what is salted to taste is not in the figure."""


@dataclass(frozen=True, slots=True)
class ClaimFinding:
    """One claim under the rule set: `holds` None means a missing value could overturn it."""

    name: str
    holds: bool | None
    because: str
    """The arithmetic in words, with the threshold."""
    asked: bool
    near_miss: str = ""
    shown: str = ""
    """The claim's name in the hub's language; '': `name`."""
    companion: str = ""
    """What the law wants said beside the claim for this dish, in the hub's language."""
    doubt: str = ""
    """Said of a claim that holds by the figures while their likely ranges reach past the limit."""


@dataclass(frozen=True, slots=True)
class Caution:
    id: str
    text: str
    source: str
    silenced: str = ""
    """The author's reason for silencing it; when set, the reason is published in the caution's place."""
    lang: str = ""
    """The language of the text, where it is not the hub's: nobody has written it in that one yet."""


@dataclass(frozen=True, slots=True)
class EnergyPart:
    """A piece of the portion's energy: key 'protein', 'carbohydrate', 'fat', 'fibre', 'alcohol', 'polyols', 'acids'."""

    key: str
    grams: float
    kj: float
    kcal: float


@dataclass(frozen=True, slots=True)
class Label:
    """A dish under one rule set, per portion and per 100 g."""

    rule_set: str
    energy_by: str
    """'factors' or 'table'."""
    per_portion: Mapping[Tag, Figure]
    """Everything in facts.json: components, ENERC_kJ, ENERC_kcal, ENERC_table_kJ, ENERC_table_kcal, SALT_g."""
    per_100g: Mapping[Tag, Figure]
    lines: tuple[DeclaredLine, ...]
    energy_parts: tuple[EnergyPart, ...]
    """Per portion, in the panel's order."""
    row_energy_kcal: tuple[float | None, ...]
    """Per ingredient (same order as Dish.ingredients), per portion, by the same method."""
    allergens: AllergenFindings
    suits: Mapping[str, bool | None]
    """Diet id -> yes, no, or None: not known."""
    claims: tuple[ClaimFinding, ...]
    cautions: tuple[Caution, ...]
    uncertain: tuple[tuple[int, float], ...] = ()
    """(ingredient index, half-width in kcal a portion), largest first."""
    notes: tuple[str, ...] = ()
    """Word keys or sentences for the method note (figures from memory ...)."""
    to_taste: frozenset[Tag] = frozenset()
    """Tags whose figures leave out what some row adds to taste (salt, sodium, chloride): they are "at least"."""
