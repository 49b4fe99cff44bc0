"""Takes the YAML text of a hub's foods/*.yaml, bought packs as printed; gives Food and MeasureLine records.

The file is a list with one entry a pack:

    - name: Slipway vanilla whey powder
      per: 100 g                      # or 100 ml (with density), serving 30 g, 100 g drained, 100 g as sold
      energy: 1654 kJ / 391 kcal      # or one of the two
      fat: 6.0 g
      saturates: 3.5 g
      carbohydrate: 8.0 g             # without fibre (EU); total_carbohydrate: with it (US)
      sugars: 6.5 g
      fibre: <0.5 g
      protein: 76 g
      salt: 0.5 g                     # or sodium: 200 mg
      contains: [milk, soybeans]
      may_contain: none
      allergens_checked: yes          # you read the whole list
      read: 2025-06-14                # the day you read the pack

Further keys: id, aliases, group, state, kind, exceptions, density (g in one mL), pack ('900 g', '750 ml'),
drained ('240 g of 400 g'), serving ('30 g', '2 scoops = 60 g'), measures (['1 bar = 35 g']), made_up, source, brand,
ingredients, price, price_date, aisle, note, explained; and the further lines in content/packs/packs.yaml. Spaces in
keys are underscores. A row may then say '1/2 pack', '2 scoops', '1 serving' or '1 bar'; a pack is what the figures are
per: the drained food, or all that is in it.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date

from gramwright.model import AllergenStatement, Food, Quality, Tag, Value
from gramwright.problems import Place, ProblemLog, Trouble
from gramwright.reading import pack_sense
from gramwright.reading.cells import derive
from gramwright.reading.fields import Fields
from gramwright.reading.fold import slug
from gramwright.reading.pack_figures import Basis, Printed, basis, energy, figure, load_rules
from gramwright.reading.pack_sizes import Sizes
from gramwright.reading.tables import MeasureLine
from gramwright.reading.vocabulary import Vocabulary
from gramwright.reading.yaml_nodes import Mapping, Scalar, Sequence, described, parse, short

TEXTS = {"aisle": "aisle", "brand": "brand", "ingredients": "ingredients", "note": "note", "price": "pack_price"}
"""Key -> column of Food.extra."""
KEYS = (
    "name", "id", "aliases", "group", "state", "kind", "density", "per", "energy", "pack", "drained", "serving",
    "measures", "contains", "may_contain", "allergens_checked", "exceptions", "read", "made_up", "source", "price_date",
    "explained", *TEXTS,
)  # fmt: skip
_ID = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*")


def read_packs(
    text: str, file: str, log: ProblemLog, vocabulary: Vocabulary, today: date | None = None
) -> tuple[list[Food], list[MeasureLine]]:
    """The packs of one file with their measures, without those that have errors (logged).

    `today`: a reading date later than this is a problem; None does not look.
    """
    before = len(log)
    node = parse(text, file, log)
    if node is None:
        return [], []
    if not isinstance(node, Sequence):
        hint = "each pack starts with '- name: ...'"
        log.error(Place(file, node.line, 1), "wrong-type", f"expected a list of packs, found {described(node)}", hint)
        return [], []
    foods: list[Food] = []
    lines: list[MeasureLine] = []
    seen: dict[str, int] = {}
    for item in node.items:
        before = len(log)
        if not isinstance(item, Mapping):
            place = Place(file, item.line, item.column)
            log.error(place, "wrong-type", f"expected a pack, found {described(item)}", "- name: ...")
            continue
        food, measures = _Pack(item, file, log, vocabulary, today).read()
        first = seen.setdefault(food.id, item.line)
        if food.id and first != item.line:
            log.error(
                food.place,
                "duplicate-food",
                f"expected each food id once, found '{food.id}' again (first in line {first})",
                "give one of the two another id, or delete it",
            )
        if not any(problem.severity == "error" for problem in list(log)[before:]):
            foods.append(food)
            lines += measures
    return foods, lines


class _Pack:
    """One entry."""

    def __init__(self, node: Mapping, file: str, log: ProblemLog, vocabulary: Vocabulary, today: date | None) -> None:
        self.log = log
        self.file = file
        self.place = Place(file, node.line, node.column)
        self.fields = Fields(_underscored(node), file, log)
        self.vocabulary = vocabulary
        self.today = "" if today is None else today.isoformat()
        self.rules = load_rules()
        self.extra: dict[str, str] = {}

    def read(self) -> tuple[Food, list[MeasureLine]]:
        fields = self.fields
        fields.only((*KEYS, *self.rules.lines), "a pack")
        name = fields.text("name", 120)
        if not name:
            self.log.error(self.place, "missing-name", "expected the name of a pack, found none", "- name: ...")
        food_id = self.identity(name)
        density = fields.number("density", 0.02, 25, "grams in one millilitre; water is 1")
        sizes = Sizes(fields, self.extra)
        serving, measures = sizes.measures(food_id)
        sizes.sizes(density)
        per = self.basis(density, serving)
        measures += sizes.pack(food_id, self.what == "drained", measures)
        for key, column in (*TEXTS.items(), ("price_date", "price_date")):
            text = fields.iso_date(key) if key == "price_date" else fields.text(key, 2000)
            if text:
                self.extra[column] = text
        values = self.values(per)
        source, reference = self.source()
        food = Food(
            id=food_id,
            name=name,
            aliases=fields.texts("aliases"),
            group=fields.text("group"),
            state=fields.text("state") or self.state(),
            refuse=0.0,
            density_g_ml=density,
            values=values,
            allergens=self.allergens(),
            kinds=self.words("kind", self.vocabulary.kind),
            source=source,
            source_ref=reference,
            quality=Quality.DECLARED,
            updated=self.updated(),
            place=self.place,
            extra=self.extra,
        )
        return food, measures

    def identity(self, name: str) -> str:
        given = self.fields.text("id", 120)
        if not given:
            return slug(name)
        if not _ID.fullmatch(given):
            self.fields.problem(
                self.fields.mapping.entries["id"][1],
                "bad-id",
                f"expected an id of small letters, digits and hyphens, found '{given}'",
                f"write '{slug(given)}', or leave it out: it is made from the name",
            )
        return given

    # ------------------------------------------------------------ what the figures are per

    def basis(self, density: float | None, serving: float | None) -> float | None:
        """What 1 printed unit is multiplied with to stand per 100 g; None after a problem."""
        fields = self.fields
        per = fields.parsed("per", basis, "what the figures are per")
        if per is None:
            if fields.node("per") is None:
                self.log.error(
                    self.place, "bad-basis", "expected what the figures are per, found nothing", "write per: 100 g"
                )
            return None
        node = fields.mapping.entries["per"][1]
        if fields.node("drained") is not None and not per.what:
            fields.problem(
                node,
                "bad-basis",
                f"expected whether the figures are for the drained food, found {described(node)}",
                "write per: 100 g drained, or per: 100 g as sold (with the liquid)",
            )
            return None
        self.what = per.what
        grams = self.grams_of(per, density, serving)
        return None if grams is None else 100.0 / grams

    what = ""

    def grams_of(self, per: Basis, density: float | None, serving: float | None) -> float | None:
        node = self.fields.mapping.entries["per"][1]
        if per.amount is None:
            if serving is None:
                self.fields.problem(
                    node, "bad-basis", "expected what one serving weighs, found nothing", "write per: serving 30 g"
                )
            return serving
        if per.unit == "g":
            return per.amount
        if density is None:
            self.fields.problem(
                node,
                "missing-density",
                f"expected the density of what is declared per {per.amount:g} ml, found none",
                "weigh 100 ml and write density: 1.03 (grams in one millilitre)",
            )
            return None
        return per.amount * density

    def state(self) -> str:
        if self.fields.node("drained") is None:
            return ""
        return "drained" if self.what == "drained" else "canned"

    # ------------------------------------------------------------ figures

    def values(self, per: float | None) -> dict[Tag, Value]:
        printed: dict[Tag, Printed] = {}
        node = self.fields.scalar("energy", "an energy")
        if node is not None:
            try:
                printed.update(energy(node))
            except Trouble as trouble:
                self.log.add(trouble.at(self.fields.place(node)))
        elif self.fields.node("energy") is None:
            self.log.error(
                self.place,
                "missing-energy",
                "expected the energy of the pack, found none",
                "energy: 1654 kJ / 391 kcal",
            )
        for key, tag in self.rules.lines.items():
            node = self.fields.scalar(key, "a figure")
            if node is None:
                continue
            try:
                printed[tag] = figure(node, tag)
            except Trouble as trouble:
                self.log.add(
                    Trouble(trouble.code, f"{key}: {trouble.message}", trouble.hint).at(self.fields.place(node))
                )
        if per is None:
            return {}
        figures = {tag: one.scaled(per) for tag, one in printed.items()}
        self.sense(figures)
        return derive({tag: one.value for tag, one in figures.items()})

    def sense(self, figures: dict[Tag, Printed]) -> None:
        """Whether the figures agree; an explanation takes the place of the problems."""
        found = ProblemLog()
        pack_sense.check(figures, self.file, found, self.rules)
        reason = self.fields.text("explained")
        if not reason:
            self.log.extend(found)
        elif len(found):
            self.extra.setdefault("note", reason)
        else:
            node = self.fields.mapping.entries["explained"][1]
            self.log.warn(
                self.fields.place(node),
                "unneeded-explanation",
                "expected figures that need it, found none",
                "delete it",
            )

    # ------------------------------------------------------------ words

    def allergens(self) -> AllergenStatement:
        contains = self.words("contains", self.vocabulary.allergen)
        may = self.words("may_contain", self.vocabulary.allergen)
        both = contains & may
        if both:
            self.fields.problem(
                self.fields.mapping.entries["may_contain"][1],
                "contradictory-allergens",
                f"expected each allergen once, found {', '.join(sorted(both))} under contains and under may_contain",
                "what it contains need not stand under may_contain: delete it there",
            )
        return AllergenStatement(
            self.fields.flag("allergens_checked"), contains, may - both, frozenset(self.fields.texts("exceptions"))
        )

    def words(self, key: str, look_up: Callable[[str], str]) -> frozenset[str]:
        """Ids of a list of words; 'none' is an empty list."""
        node = self.fields.node(key)
        if node is None or (isinstance(node, Scalar) and node.text.strip().lower() == "none"):
            return frozenset()
        found: set[str] = set()
        for word in self.fields.texts(key):
            try:
                found.add(look_up(word))
            except Trouble as trouble:
                place = next(
                    (self.fields.place(item) for item in _items(node) if item.text.strip() == word),
                    self.fields.place(node),
                )
                self.log.add(Trouble(trouble.code, f"{key}: {trouble.message}", trouble.hint).at(place))
        return frozenset(found)

    def source(self) -> tuple[str, str]:
        """(who says so, where): the pack, or that everything is invented."""
        said = self.fields.text("source", 200)
        if self.fields.flag("made_up"):
            return f"invented {said}".strip(), "pack"
        named = said or self.extra.get("brand")
        return (named, "pack") if named else ("the pack", "")

    def updated(self) -> str:
        read = self.fields.iso_date("read")
        if not read and self.fields.node("read") is None:
            self.log.warn(
                self.place,
                "no-date",
                "expected the day on which the pack was read, found none: its allergens count as not known",
                "read the pack again and write read: 2025-03-31",
            )
        elif self.today and read > self.today:
            node = self.fields.mapping.entries["read"][1]
            self.fields.problem(
                node,
                "future-date",
                f"expected a date up to today ({self.today}), found {short(read)}",
                "the date on which the pack was read",
            )
        return read


def _items(node: object) -> list[Scalar]:
    return [item for item in node.items if isinstance(item, Scalar)] if isinstance(node, Sequence) else []


def _underscored(node: Mapping) -> Mapping:
    """The same mapping with 'may contain' as 'may_contain'; of two such keys the plain one counts."""
    return Mapping(
        {name.strip().replace(" ", "_"): entry for name, entry in node.entries.items()}, node.line, node.column
    )
