"""Frozen records that every room speaks. Gives the vocabulary; imports nothing inside but problems.Place.

Units: grams, millilitres, kilojoules; minutes for times; shares are 0 to 1.
A *tag* is an INFOODS tagname with its unit, as in a table's column head:
`PROCNT_g`, `NA_mg`, `ENERC_kJ`. Food values are per 100 g edible portion.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from gramwright.problems import Place

Tag = str

KJ_PER_KCAL = 4.184
"""kJ in one kcal (FAO/INFOODS component identifiers, ENERC)."""

# ---------------------------------------------------------------- foods


class Quality(StrEnum):
    """How good a food's figures are, best first."""

    ANALYSED = "analysed"
    TABLE = "table"
    DECLARED = "declared"
    ESTIMATED = "estimated"


class ValueKind(StrEnum):
    NUMBER = "number"
    TRACE = "trace"
    BELOW = "below"
    BORROWED = "borrowed"


@dataclass(frozen=True, slots=True)
class Value:
    """A known figure of a food, per 100 g edible portion in its tag's unit.

    `amount` is what counts in sums: the number itself, 0 for a trace, half the
    limit for "below a limit". An unknown figure has no Value at all.
    """

    amount: float
    kind: ValueKind = ValueKind.NUMBER
    limit: float | None = None
    """The limit of a `below` figure."""


@dataclass(frozen=True, slots=True)
class AllergenStatement:
    """What is said of a food's allergens. `checked` has no default: nobody can forget to say it.

    With `checked` false, whatever is not named in `contains` or `may_contain` is *not known*.
    """

    checked: bool
    contains: frozenset[str] = frozenset()
    may_contain: frozenset[str] = frozenset()
    exceptions: frozenset[str] = frozenset()
    """Named legal exceptions that apply (an id of content/allergens/exceptions)."""

    def __post_init__(self) -> None:
        both = self.contains & self.may_contain
        if both:
            raise ValueError(f"both contains and may contain: {', '.join(sorted(both))}")


@dataclass(frozen=True, slots=True)
class Measure:
    """One household measure of one food: the grams of one of it.

    `volume_ml` is set when the measure is a spoon or a cup of something: the
    volume the grams were taken with, so that another country's spoon can be used.
    """

    name: str
    grams: float
    source: str
    volume_ml: float | None = None


@dataclass(frozen=True, slots=True)
class Food:
    """One line of a composition table with its household measures."""

    id: str
    name: str
    aliases: tuple[str, ...]
    group: str
    state: str
    refuse: float
    """Share of the bought weight that is not eaten (stones, peel, bone), 0 to 1."""
    density_g_ml: float | None
    values: Mapping[Tag, Value]
    allergens: AllergenStatement
    kinds: frozenset[str]
    """What it is made of, for diets (ids of content/allergens/kinds.yaml); empty: not known."""
    source: str
    source_ref: str
    quality: Quality
    updated: str
    """ISO date of the figures (the pack's reading date for bought products); may be empty."""
    place: Place
    measures: tuple[Measure, ...] = ()
    extra: Mapping[str, str] = field(default_factory=dict)
    """Further table columns that are no component (pack size, drained weight ...)."""


# ---------------------------------------------------------------- a hub as written


@dataclass(frozen=True, slots=True)
class Settings:
    """hub.yaml."""

    title: str
    base_url: str
    language: str = "en"
    rule_set: str = "eu"
    author: str = ""
    description: str = ""
    energy: str = "factors"
    """'factors' (the rule set's) or 'table'."""
    spoons: str = "metric"
    """Which tablespoon and teaspoon: metric, australian, us, us-label."""
    cups: str = "metric"
    """Which cup and fluid ounce: the same names."""
    cautions: tuple[str, ...] = ()
    """The author's own cautions, shown on every page."""
    pack_months: int = 12
    """A bought product's allergens read longer ago than this are not known."""
    corrections_days: int = 90
    """How long a page shows that its declared figures moved."""
    place: Place = field(default_factory=lambda: Place("hub.yaml"))


@dataclass(frozen=True, slots=True)
class Quantity:
    """An amount as written. `low` and `high` differ for a range ("1-2"); the middle counts."""

    low: float
    high: float
    text: str
    times: float = 1.0
    """The N of "N x AMOUNT" (already multiplied into low and high)."""

    @property
    def middle(self) -> float:
        return (self.low + self.high) / 2


@dataclass(frozen=True, slots=True)
class Row:
    """One ingredient row as written; nothing is looked up yet.

    A text row ("2 medium carrots; peeled") leaves `food` None and everything
    after the number in `words`; only the food table can tell where the measure
    ends. A mapping row has the measure in `words` and the name in `food`, or
    a slug in `recipe`.
    """

    part: str
    quantity: Quantity | None
    """None: to taste."""
    words: str
    place: Place
    text: str
    """The row as the author wrote it (mapping rows: rebuilt as 'AMOUNT FOOD')."""
    food: str | None = None
    recipe: str | None = None
    note: str = ""
    optional: bool = False
    swaps: tuple[Row, ...] = ()
    cooked_as: str | None = None
    """A code of the retention table."""
    eaten: float = 1.0
    """Share that is eaten (marinade, frying oil, brine), 0 to 1."""
    gross: bool = False
    """Weighed before trimming: the food's refuse share applies."""
    weighed: str | None = None
    """'cooked' or 'raw' when the scale saw another state than the food named."""
    row_yield: float | None = None
    """Weight after cooking / weight before, for `weighed` either way (pasta 2.2, chicken breast 0.75)."""


@dataclass(frozen=True, slots=True)
class Keeps:
    """Storage as the author states it, in days; None: not said."""

    fridge_days: float | None = None
    freezer_days: float | None = None


@dataclass(frozen=True, slots=True)
class Statement:
    """Something the author declares and the engine cannot know (halal), or silences, with the reason."""

    name: str
    reason: str
    place: Place


@dataclass(frozen=True, slots=True)
class RecipePage:
    """One recipes/**/*.md as read: front matter, prose, rows. Nothing is looked up yet."""

    slug: str
    title: str
    summary: str
    portions: float
    rows: tuple[Row, ...]
    intro: str
    """Markdown before the ingredients block."""
    method: str
    """Markdown after it."""
    method_line: int
    place: Place
    lines: Mapping[str, int]
    """Line of each front matter key, for problems found later."""
    meals: tuple[str, ...] = ()
    tags: tuple[str, ...] = ()
    claims: tuple[str, ...] = ()
    hands_on_min: float | None = None
    total_min: float | None = None
    finished_g: float | None = None
    """Measured weight of the finished batch."""
    yield_factor: float | None = None
    yield_name: str = ""
    """Name of a typical yield (content/nutrition/typical-yields.csv), where the page names one instead of a factor."""
    keeps: Keeps = field(default_factory=Keeps)
    photo: str = ""
    published: str = ""
    """ISO date of first publication; may be empty."""
    declared: tuple[Statement, ...] = ()
    """Diets the author declares with a reason (halal, kosher ...)."""
    cautions: tuple[str, ...] = ()
    silenced: tuple[Statement, ...] = ()
    intro_line: int = 0
    """Line where the introduction starts."""


# ---------------------------------------------------------------- computed


class Scale(StrEnum):
    """What kind of measure a row's grams came from; says how loose they are."""

    MASS = "mass"
    VOLUME = "volume"
    COUNT = "count"
    PORTIONS = "portions"
    TASTE = "taste"


@dataclass(frozen=True, slots=True)
class Ingredient:
    """A resolved row. Exactly one of `food` and `dish` is set."""

    row: Row
    food: Food | None
    dish: Dish | None
    scale: Scale
    measure: str
    """The measure's display name ('tbsp', 'medium', 'g'); '' for a bare count."""
    weighed_g: float
    """Grams on the scale, before refuse and `eaten`."""
    grams: float
    """Grams that are eaten: these count."""
    low_g: float
    high_g: float
    """`grams` at the ends of what the amount and its measure allow."""
    swaps: tuple[Ingredient, ...] = ()

    @property
    def key(self) -> str:
        """The food id, or 'recipe:slug'."""
        if self.food is not None:
            return self.food.id
        assert self.dish is not None  # one of the two, by construction in composition
        return f"recipe:{self.dish.page.slug}"

    @property
    def name(self) -> str:
        if self.food is not None:
            return self.food.name
        assert self.dish is not None
        return self.dish.page.title


@dataclass(frozen=True, slots=True)
class Figure:
    """A computed amount in its tag's unit, what it is likely between, and the share of eaten mass it is known for."""

    amount: float
    low: float
    high: float
    coverage: float

    def scaled(self, factor: float) -> Figure:
        return Figure(self.amount * factor, self.low * factor, self.high * factor, self.coverage)


class Weight(StrEnum):
    """How a finished weight is known."""

    MEASURED = "measured"
    FACTOR = "factor"
    TYPICAL = "typical"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Dish:
    """A computed recipe: the whole batch, optional rows left out."""

    page: RecipePage
    ingredients: tuple[Ingredient, ...]
    """Every row, optional ones too."""
    raw_g: float
    """Sum of the counted (not optional) rows' eaten grams."""
    finished_g: float | None
    finished_by: Weight
    totals: Mapping[Tag, Figure]
    """Of the whole batch; a tag known for no row is absent."""
    row_totals: tuple[Mapping[Tag, float], ...]
    """Per ingredient (same order): known amounts after retention, whole batch."""

    @property
    def counted(self) -> tuple[Ingredient, ...]:
        return tuple(i for i in self.ingredients if not i.row.optional)

    @property
    def portion_g(self) -> float | None:
        return None if self.finished_g is None else self.finished_g / self.page.portions

    @property
    def basis_g(self) -> float:
        """The weight that per-100 g figures refer to: finished when known, else raw."""
        return self.raw_g if self.finished_g is None else self.finished_g


# ---------------------------------------------------------------- labelled


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
    """True when coverage is below 1."""


@dataclass(frozen=True, slots=True)
class ClaimFinding:
    """One claim under the rule set: `holds` None means a missing value could overturn it."""

    name: str
    holds: bool | None
    because: str
    """The arithmetic in words, with the threshold."""
    asked: bool
    near_miss: str = ""


@dataclass(frozen=True, slots=True)
class Caution:
    id: str
    text: str
    source: str
    silenced: str = ""
    """The author's reason for silencing it; when set, the reason is published in the caution's place."""


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
    row_energy_kcal: tuple[float, ...]
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
