"""How a foreign table becomes ours: the records of a mapping file. `mapping_reader` reads them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import NamedTuple

from gramwright.composition.imports.foreign import Numbers
from gramwright.composition.imports.sheets import Reading
from gramwright.problems import Place
from gramwright.reading.fold import fold

TABLE, FDC = "table", "usda-fdc"
NUMBERS = ("refuse_pct", "density_g_ml")
"""Plain columns that are figures: they stand among the components of a mapping."""


@dataclass(frozen=True, slots=True)
class TextColumn:
    """Where the text of one of our columns comes from."""

    heads: tuple[str, ...]
    words: Mapping[str, str] = field(default_factory=dict)
    """Their word (folded) -> ours."""
    finds: Sequence[tuple[str, str]] = ()
    """(folded word, ours): the first that stands in the text counts."""
    otherwise: str | None = None
    """What counts where no word fits; None: the text itself (with `finds`: nothing)."""

    def text(self, found: str) -> str:
        """Our text for theirs."""
        if not self.words and not self.finds:
            return found
        key = fold(found)
        known = self.words.get(key)
        if known is not None:
            return known
        padded = f" {key} "
        for word, ours in self.finds:
            if f" {word} " in padded:
                return ours
        if self.otherwise is not None:
            return self.otherwise
        return "" if self.finds else found


@dataclass(frozen=True, slots=True)
class Component:
    """Where the figures of one of our columns come from."""

    column: str
    """'NA_mg', 'ENERC_kcal', 'refuse_pct'."""
    heads: tuple[str, ...]
    """Their columns (or nutrient numbers); the first with a figure counts."""
    unit: str
    """The unit of theirs; '' where the table itself says it, or `times` does."""
    times: Decimal
    zero_unknown: bool
    place: Place

    @property
    def our_unit(self) -> str:
        return self.column.rpartition("_")[2]


class Portions(NamedTuple):
    """Household measures of a table with one food a line: columns with the portion and with its grams."""

    name: str
    grams: str


class ImportMapping(NamedTuple):
    """One mapping file."""

    id: str
    name: str
    layout: str
    file: str
    reading: Reading
    numbers: Numbers
    prefix: str
    id_column: str
    texts: Mapping[str, TextColumn]
    fixed: Mapping[str, str]
    components: tuple[Component, ...]
    portions: tuple[Portions, ...]
    volumes: str
    """Whose spoons and cups the portions were weighed with; '' where the mapping has none."""
    data_types: Mapping[str, str]
    """usda-fdc: data type -> quality."""
    borrowed: tuple[str, ...]
    """usda-fdc: what derivation codes of borrowed figures start with."""
