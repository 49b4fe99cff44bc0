"""What nutrition knows from content/. Takes the shipped tables, gives one object that every computation reads.

NutritionBooks.load(log)      retention factors, typical yields, looseness, plausible values
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from gramwright.model import Dish, Food
from gramwright.nutrition.looseness import Looseness, load_looseness
from gramwright.nutrition.plausible import Plausible, load_plausible
from gramwright.nutrition.profiles import Profile, ProfileShelf
from gramwright.nutrition.retention import RetentionTable, load_retention
from gramwright.nutrition.yields import Limits, TypicalYield, Yields, load_row_yields, load_yields
from gramwright.problems import ProblemLog

if TYPE_CHECKING:
    from gramwright.nutrition.parts import Content


class NutritionBooks:
    """The tables, and a shelf of foods made ready for summing. One a process; recipes only read it."""

    def __init__(
        self,
        retention: RetentionTable,
        yields: Yields,
        looseness: Looseness,
        plausible: Plausible,
        row_yields: Limits,
    ) -> None:
        self.retention = retention
        self.yields = yields
        self.looseness = looseness
        self.plausible = plausible
        self.row_yields = row_yields
        self.shelf = ProfileShelf(looseness, plausible)
        self.last_content: tuple[Dish, Content] | None = None
        """The dish computed last with its content, for the combinations that follow."""
        self.inner_contents: dict[int, tuple[Dish, Content]] = {}
        """Recipes that others use, opened (by identity of the dish)."""

    @classmethod
    def load(cls, log: ProblemLog) -> NutritionBooks:
        """Reads content/. Bad lines go into the log; Trouble 'broken-content' where nothing could be computed."""
        return cls(
            load_retention(log), load_yields(log), load_looseness(log), load_plausible(log), load_row_yields(log)
        )

    def typical_yield(self, name: str) -> TypicalYield:
        """A typical yield by name. Raises Trouble 'unknown-yield'."""
        return self.yields.get(name)

    def profile(self, food: Food, code: str | None) -> Profile:
        """A food after a preparation, per gram. Raises Trouble 'unknown-retention-code'."""
        return self.shelf.get(food, None if code is None else self.retention.get(code))
