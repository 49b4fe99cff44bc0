"""An invented recipe with its label, for looking at pages and for tests. Figures are round inventions, near real foods.

Nothing here is computed by the engine, so that the pages can be tested on their own.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from gramwright.model import (
    AllergenFindings,
    AllergenStatement,
    Caution,
    ClaimFinding,
    DeclaredLine,
    Dish,
    EnergyPart,
    Figure,
    Food,
    Ingredient,
    Keeps,
    Label,
    Measure,
    Presence,
    Quality,
    Quantity,
    RecipePage,
    Row,
    Scale,
    Settings,
    Value,
    ValueKind,
    Weight,
    Why,
)
from gramwright.problems import Place
from gramwright.site.cards import Card, Piece, card

SETTINGS = Settings(
    title="Slack Water Kitchen",
    base_url="https://example.org/kitchen",
    author="The galley crew",
    description="Weighed meals from the boathouse of a small rowing club on a tidal river.",
)

TAGS = ("ENERC_kJ", "PROCNT_g", "FAT_g", "FASAT_g", "CHOAVL_g", "SUGAR_g", "FIBTG_g", "NA_mg")
EU_LIST = (
    *("wheat", "rye", "barley", "oats", "spelt", "khorasan", "crustaceans", "eggs", "fish", "peanuts", "soybeans"),
    *("milk", "almond", "hazelnut", "walnut", "cashew", "pecan", "pistachio", "macadamia", "celery", "mustard"),
    *("sesame", "sulphites", "lupin", "molluscs"),
)
PUBLISHER = "Invented table for trials"


def food(
    id: str,
    name: str,
    figures: tuple[float | None, ...],
    contains: str = "",
    checked: bool = True,
    quality: Quality = Quality.TABLE,
    state: str = "raw",
    group: str = "vegetables",
    measures: tuple[tuple[str, float], ...] = (),
    kinds: str = "plant",
) -> Food:
    values = {tag: Value(amount) for tag, amount in zip(TAGS, figures, strict=True) if amount is not None}
    return Food(
        id=id,
        name=name,
        aliases=(),
        group=group,
        state=state,
        refuse=0.0,
        density_g_ml=None,
        values=values,
        allergens=AllergenStatement(checked=checked, contains=frozenset(contains.split())),
        kinds=frozenset(kinds.split()),
        source="The pack" if quality is Quality.DECLARED else PUBLISHER,
        source_ref="" if quality is Quality.DECLARED else f"T{len(id):03d}",
        quality=quality,
        updated="2026-02-03",
        place=Place("foods/trial.csv", 7),
        measures=tuple(Measure(measure, grams, PUBLISHER) for measure, grams in measures),
    )


BARLEY = food(
    "barley-pearl-dry",
    "Barley, pearl, dry",
    (1473, 9.9, 1.2, 0.24, 62.1, 0.8, 15.6, 9),
    "barley",
    group="cereals",
    state="dry",
)
SQUASH = food("squash-butternut-raw", "Squash, butternut, raw", (188, 1.0, 0.1, 0.02, 9.7, 2.2, 2.0, 4))
CARROT = food("carrot-raw", "Carrot, raw", (173, 0.9, 0.2, 0.04, 6.8, 4.7, 2.8, 69), measures=(("medium", 61),))
OIL = food(
    "olive-oil",
    "Olive oil",
    (3699, 0.0, 100.0, 13.8, 0.0, 0.0, 0.0, 2),
    group="fats and oils",
    state="",
    measures=(("tbsp", 13.7),),
)
CHICKPEAS = food(
    "chickpeas-canned-drained",
    "Chickpeas, canned, drained",
    (580, 7.0, 2.8, 0.29, 16.1, None, 6.4, 246),
    group="pulses",
    state="canned",
)
SAUSAGE = food(
    "tideway-smoked-sausage",
    "Tideway smoked sausage (invented)",
    (1120, 14.2, 22.5, 8.4, 2.1, 0.6, 0.4, 780),
    checked=False,
    quality=Quality.DECLARED,
    group="meat",
    state="",
    measures=(("piece", 55),),
    kinds="",
)
STOCK = food(
    "stock-vegetable-made-up",
    "Vegetable stock, made up",
    (12, 0.2, 0.1, 0.05, 0.3, 0.2, 0.1, 290),
    "celery",
    group="sauces",
    state="ready",
)
CUMIN = food(
    "cumin-ground",
    "Cumin, ground",
    (1567, 17.8, 22.3, 1.5, 33.7, 2.3, 10.5, 168),
    group="spices",
    state="dry",
    measures=(("tsp", 2.1),),
)
YOGHURT = food(
    "yoghurt-plain-whole",
    "Yoghurt, plain, whole milk",
    (257, 3.5, 3.3, 2.1, 4.7, 4.7, 0.0, 46),
    "milk",
    group="dairy",
    state="ready",
    kinds="milk",
)
FETA = food(
    "feta", "Feta", (1103, 14.2, 21.5, 14.9, 3.9, 3.9, 0.0, 917), "milk", group="dairy", state="ready", kinds="milk"
)
TOFU = food(
    "tofu-smoked", "Tofu, smoked", (620, 16.0, 8.8, 1.4, 0.8, 0.6, 1.0, 360), "soybeans", group="pulses", state="ready"
)
SALT = food("salt", "Salt", (0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 38758), group="spices", state="dry", kinds="mineral")
ODDITY = replace(
    CUMIN,
    id="oddity",
    name="Oddity <b>&amp; sons</b>",
    aliases=("oddment", "strange thing"),
    values={
        "ENERC_kJ": Value(0.0),
        "PROCNT_g": Value(0.0, ValueKind.TRACE),
        "FAT_g": Value(0.25, ValueKind.BELOW, 0.5),
        "VITC_mg": Value(12.3, ValueKind.BORROWED),
        "XANTHO_mg": Value(3.0),
    },
    refuse=0.12,
    density_g_ml=1.04,
)

MARKDOWN_INTRO = """A tray that cooks itself while the boats are washed down. The barley drinks the stock *under* the
squash, so nothing needs stirring."""

MARKDOWN_METHOD = """1. Heat the oven to 200 °C. Rinse the barley and spread it over a deep tray; pour on the stock.
2. Toss squash, carrots and chickpeas with the oil, cumin and salt, lay them on top with the sausages, and cover.
3. Bake for 30 minutes, uncover, and bake 15 minutes more, until the barley is tender and the edges have caught.
4. Rest for 5 minutes, then spoon the yoghurt over.

## For the next day

Cold, it makes a packed lunch with a squeeze of lemon; see the [oat bake](harbour-oat-bake.md) for pudding."""


def row(part: str, amount: str, words: str, text: str = "", **more: object) -> Row:
    number = 0.0 if not amount else float(amount)
    quantity = Quantity(number, number, amount) if amount else None
    made = Row(part, quantity, words, Place("recipes/barley-squash-tray.md", 12), text or f"{amount} {words}")
    return replace(made, **more)  # type: ignore[arg-type]  # field names of Row


def used(r: Row, f: Food, grams: float, scale: Scale = Scale.MASS, measure: str = "g", **more: object) -> Ingredient:
    loose = 0.02 if scale is Scale.MASS else 0.12
    made = Ingredient(r, f, None, scale, measure, grams, grams, grams * (1 - loose), grams * (1 + loose))
    return replace(made, **more)  # type: ignore[arg-type]  # field names of Ingredient


def ingredients() -> tuple[Ingredient, ...]:
    tofu = used(row("To serve", "40", "g smoked tofu"), TOFU, 40)
    return (
        used(row("Tray", "160", "g pearl barley, dry"), BARLEY, 160),
        used(row("Tray", "600", "g butternut squash", note="peeled, in 2 cm cubes"), SQUASH, 600),
        used(row("Tray", "2", "medium carrots", note="peeled, sliced"), CARROT, 122, Scale.COUNT, "medium"),
        used(row("Tray", "240", "g canned chickpeas", note="drained weight"), CHICKPEAS, 240),
        used(row("Tray", "4", "pieces Tideway smoked sausage"), SAUSAGE, 220, Scale.COUNT, "piece"),
        used(row("Tray", "2", "tbsp olive oil"), OIL, 27.4, Scale.VOLUME, "tbsp"),
        used(row("Tray", "500", "mL vegetable stock", eaten=0.9), STOCK, 450, Scale.VOLUME, "mL", weighed_g=500.0),
        used(row("Tray", "2", "tsp ground cumin"), CUMIN, 4.2, Scale.VOLUME, "tsp"),
        used(row("Tray", "", "salt", "salt, to taste"), SALT, 0.0, Scale.TASTE, ""),
        used(row("To serve", "120", "g plain yoghurt"), YOGHURT, 120),
        used(row("To serve", "30", "g feta", optional=True, note="crumbled"), FETA, 30, swaps=(tofu,)),
    )


def page(**more: object) -> RecipePage:
    made = RecipePage(
        slug="barley-squash-tray",
        title="Barley and squash tray",
        summary="Roast squash and smoky sausage over barley that cooks in its own stock.",
        portions=4,
        rows=tuple(i.row for i in ingredients()),
        intro=MARKDOWN_INTRO,
        method=MARKDOWN_METHOD,
        method_line=31,
        place=Place("recipes/barley-squash-tray.md", 1),
        lines={"title": 2},
        meals=("lunch", "dinner"),
        tags=("one tray", "packs well"),
        hands_on_min=15,
        total_min=70,
        finished_g=1620,
        keeps=Keeps(3, 60),
        published="2026-03-14",
        cautions=("Take the tray out with dry cloths: the stock steams.",),
    )
    return replace(made, **more)  # type: ignore[arg-type]  # field names of RecipePage


def dish(**more: object) -> Dish:
    rows = ingredients()
    totals: dict[str, list[float]] = {}
    known: dict[str, float] = {}
    row_totals: list[Mapping[str, float]] = []
    raw = sum(i.grams for i in rows if not i.row.optional)
    for i in rows:
        assert i.food is not None
        row_totals.append({tag: i.grams * value.amount / 100 for tag, value in i.food.values.items()})
        if i.row.optional:
            continue
        for tag, value in i.food.values.items():
            figure = totals.setdefault(tag, [0.0, 0.0, 0.0])
            for at, grams in enumerate((i.grams, i.low_g, i.high_g)):
                figure[at] += grams * value.amount / 100
            known[tag] = known.get(tag, 0.0) + i.grams
    figures = {tag: Figure(at[0], at[1], at[2], min(1.0, known[tag] / raw)) for tag, at in totals.items()}
    return Dish(page(**more), rows, raw, 1620, Weight.MEASURED, figures, tuple(row_totals))


def label(of: Dish | None = None) -> Label:
    made = of or dish()
    per = {tag: figure.scaled(1 / made.page.portions) for tag, figure in made.totals.items()}
    factors = (
        ("carbohydrate", "CHOAVL_g", 17, 4),
        ("fat", "FAT_g", 37, 9),
        ("protein", "PROCNT_g", 17, 4),
        ("fibre", "FIBTG_g", 8, 2),
    )
    parts = tuple(
        EnergyPart(key, per[tag].amount, per[tag].amount * kj, per[tag].amount * kcal) for key, tag, kj, kcal in factors
    )
    kcal = sum(part.kcal for part in parts)
    kj = sum(part.kj for part in parts)
    per["ENERC_table_kJ"] = per["ENERC_kJ"]
    per["ENERC_table_kcal"] = per["ENERC_kJ"].scaled(1 / 4.184)
    per["ENERC_kJ"] = Figure(kj, kj * 0.955, kj * 1.045, 1.0)
    per["ENERC_kcal"] = Figure(kcal, kcal * 0.955, kcal * 1.045, 1.0)
    per["SALT_g"] = per["NA_mg"].scaled(0.0025)
    factor = 100 * made.page.portions / made.basis_g
    hundred = {tag: figure.scaled(factor) for tag, figure in per.items()}
    rows = tuple(
        sum(totals[tag] * k for _, tag, _, k in factors if tag in totals) / made.page.portions
        for totals in made.row_totals
    )
    per_100g = f"{hundred['ENERC_kJ'].amount:.0f} kJ / {hundred['ENERC_kcal'].amount:.0f} kcal"
    lines = [DeclaredLine("energy", "", 0, per_100g, f"{kj:.0f} kJ / {kcal:.0f} kcal", f"{kcal / 20:.0f} %", False)]
    for key, tag, level, day in (
        ("fat", "FAT_g", 0, 70),
        ("saturates", "FASAT_g", 1, 20),
        ("carbohydrate", "CHOAVL_g", 0, 260),
        ("sugars", "SUGAR_g", 1, 90),
        ("fibre", "FIBTG_g", 0, 0),
        ("protein", "PROCNT_g", 0, 50),
        ("salt", "SALT_g", 0, 6),
    ):
        figure = per[tag]
        places = 2 if tag == "SALT_g" and figure.amount < 1 else 1 if figure.amount < 10 else 0
        lines.append(
            DeclaredLine(
                key,
                tag,
                level,
                f"{hundred[tag].amount:.1f} g",
                f"{figure.amount:.{places}f} g",
                f"{100 * figure.amount / day:.0f} %" if day else "",
                figure.coverage < 1,
            )
        )
    return Label(
        rule_set="eu",
        energy_by="factors",
        per_portion=per,
        per_100g=hundred,
        lines=tuple(lines),
        energy_parts=parts,
        row_energy_kcal=rows,
        allergens=findings(),
        suits={"vegetarian": None, "vegan": False},
        claims=(
            ClaimFinding("high fibre", True, "6.1 g of fibre for each 100 kcal is at least 3 g", True),
            ClaimFinding("source of protein", True, "protein gives 15 % of the energy, at least 12 %", False),
            ClaimFinding("low fat", False, "5.9 g in 100 g is above 3 g", True),
        ),
        cautions=(
            Caution(
                "reheat",
                "Reheat once only, until it steams all through.",
                "FoodSafety.gov, safe minimum internal temperatures (secondary copy)",
            ),
        ),
        uncertain=((4, 14.2), (5, 7.9), (2, 1.4)),
        notes=(),
    )


def findings() -> AllergenFindings:
    states = dict.fromkeys(EU_LIST, Presence.UNKNOWN)
    because: dict[str, tuple[Why, ...]] = {name: (why(SAUSAGE),) for name in EU_LIST}
    for name, f in (("barley", BARLEY), ("celery", STOCK), ("milk", YOGHURT)):
        states[name] = Presence.CONTAINS
        because[name] = (why(f),)
    states["sesame"] = Presence.MAY_CONTAIN
    because["sesame"] = (why(CHICKPEAS),)
    return AllergenFindings(states, {name: name for name in EU_LIST}, because)


def why(f: Food) -> Why:
    return Why(f.id, f.name, f.place, f.source, f.updated)


def cards(count: int = 22) -> list[Card]:
    """Invented cards of many shapes: light and heavy, without a figure, with one "at least", with long names."""
    names = (
        "Oat bake",
        "Broth with barley",
        "Potato salad, warm",
        "Rye toast and egg",
        "Lentil pot",
        "Fish stew",
        "Bean dip",
        "Plum crumble",
        "Rowers' porridge",
        "Cocoa, hot",
        "Pancakes for a crew of eight after a long row",
    )
    meals = (("breakfast",), ("lunch",), ("dinner",), ("snack",), ("lunch", "dinner"), ("bake",), ("drink",))
    first = card(dish(), label())
    made = [first]
    for n in range(1, count):
        kcal = 40 + (n * 137) % 760
        parts = (
            Piece("carbohydrate", kcal * 0.5),
            Piece("protein", kcal * 0.2),
            Piece("fat", kcal * 0.28),
            Piece("fibre", kcal * 0.02),
        )
        made.append(
            replace(
                first,
                slug=f"dish-{n}",
                title=f"{names[n % len(names)]} {n}" if n > len(names) else names[n % len(names)],
                energy_kcal=None if n == 9 else float(kcal),
                pieces=() if n == 9 else parts,
                protein_g=kcal / 20,
                meals=meals[n % len(meals)],
                incomplete=("energy_kcal",) if n == 5 else (),
                uses=first.uses[n % 4 :],
                summary=""
                if n % 4 == 3
                else "A line that says what to expect, and why one would cook it on a cold day.",
                published=f"2026-0{1 + n % 6}-1{n % 9}",
            )
        )
    return made
