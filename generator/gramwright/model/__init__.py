"""Frozen records that every room speaks. Gives the vocabulary; imports nothing inside but problems.Place.

Units: grams, millilitres, kilojoules; minutes for times; shares are 0 to 1.
A *tag* is an INFOODS tagname with its unit, as in a table's column head:
`PROCNT_g`, `NA_mg`, `ENERC_kJ`. Food values are per 100 g edible portion.
"""

from gramwright.model.dishes import Dish, Figure, Ingredient, Scale, Weight
from gramwright.model.foods import KJ_PER_KCAL, AllergenStatement, Food, Measure, Quality, Tag, Value, ValueKind
from gramwright.model.hub import DAYS_A_MONTH, Keeps, Quantity, RecipePage, Row, Settings, Statement
from gramwright.model.labels import (
    AllergenFindings,
    Caution,
    ClaimFinding,
    DeclaredLine,
    EnergyPart,
    Excepted,
    Label,
    Presence,
    Why,
)
from gramwright.model.plans import (
    WEEKDAYS,
    Cook,
    Gear,
    Named,
    Oven,
    Person,
    PlanDay,
    PlanPage,
    Serving,
    Session,
    Target,
)

__all__ = [
    "DAYS_A_MONTH",
    "KJ_PER_KCAL",
    "WEEKDAYS",
    "AllergenFindings",
    "AllergenStatement",
    "Caution",
    "ClaimFinding",
    "Cook",
    "DeclaredLine",
    "Dish",
    "EnergyPart",
    "Excepted",
    "Figure",
    "Food",
    "Gear",
    "Ingredient",
    "Keeps",
    "Label",
    "Measure",
    "Named",
    "Oven",
    "Person",
    "PlanDay",
    "PlanPage",
    "Presence",
    "Quality",
    "Quantity",
    "RecipePage",
    "Row",
    "Scale",
    "Serving",
    "Session",
    "Settings",
    "Statement",
    "Tag",
    "Target",
    "Value",
    "ValueKind",
    "Weight",
    "Why",
]
