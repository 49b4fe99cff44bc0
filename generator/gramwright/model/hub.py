"""A hub as its author wrote it: settings, recipe pages, rows. Nothing is looked up yet."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from gramwright.model.plans import Gear
from gramwright.model.steps import Step
from gramwright.problems import Place


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
    cautions_asked: tuple[str, ...] = ()
    """Ids of shipped cautions that the author asks for on every page (told from sentences: labelling.cautions)."""
    caution_places: tuple[Place, ...] = ()
    """Where each of `cautions` is written."""
    pack_months: int = 12
    """A bought product's allergens read longer ago than this are not known."""
    corrections_days: int = 90
    """How long a page shows that its declared figures moved."""
    share_cards: bool = True
    """Whether each recipe gets a picture of its panel to be shared."""
    also_rules: tuple[tuple[str, Place], ...] = ()
    """Rule sets that recipe pages show beside `rule_set`, in the author's order, and where each is named."""
    hub_id: str = ""
    """What tells the hub from all others, wherever its folder lies; '': its title, address and author do."""
    kitchen: Gear | None = None
    """What its plans cook with where they do not say otherwise."""
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


DAYS_A_MONTH = 30


@dataclass(frozen=True, slots=True)
class Keeps:
    """Storage as the author states it, in days (DAYS_A_MONTH to a month); None: not said."""

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
    photo_alt: str = ""
    """What the photo shows, for those who cannot see it; '': the title stands for it."""
    published: str = ""
    """ISO date of first publication; may be empty."""
    declared: tuple[Statement, ...] = ()
    """Diets the author declares with a reason (halal, kosher ...)."""
    cautions: tuple[str, ...] = ()
    silenced: tuple[Statement, ...] = ()
    intro_line: int = 0
    """Line where the introduction starts."""
    steps: tuple[Step, ...] = ()
    """The method's steps as data, for plans; empty: not said."""

    def place_of(self, key: str) -> Place:
        """Where the front matter says `key`; without it the page's own place."""
        return Place(self.place.file, self.lines.get(key, self.place.line))
