"""Takes the YAML of an ingredients block, gives Row records; nothing is looked up in a food table yet."""

from __future__ import annotations

import re

from gramwright.model import Quantity, Row
from gramwright.problems import Place, ProblemLog, Trouble
from gramwright.reading.amounts import parse_amount
from gramwright.reading.fields import Fields
from gramwright.reading.yaml_nodes import Mapping, Node, Scalar, Sequence, described, short

KEYS = (
    "amount",
    "food",
    "recipe",
    "note",
    "optional",
    "swaps",
    "cooked_as",
    "eaten",
    "gross",
    "weighed",
    "yield",
)
_KEY_SET = frozenset(KEYS)
MOST_ROWS = 500
_SLUG = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*")


def read_rows(node: Node, file: str, log: ProblemLog) -> tuple[Row, ...]:
    """The rows of a block: a list, or a mapping of part name to list. Rows with errors are left out and logged."""
    before = len(log)
    rows: list[Row] = []
    reader = _Rows(file, log)
    if isinstance(node, Sequence):
        reader.part("", node, rows)
    elif isinstance(node, Mapping):
        for name, key, value in node.items():
            label = Fields(node, file, log).plain(key, "the name of a part", 120)
            if not name.strip():
                log.error(
                    Place(file, key.line, key.column),
                    "wrong-type",
                    "expected the name of a part, found nothing",
                    "name it",
                )
            if isinstance(value, Sequence):
                reader.part(label, value, rows)
            else:
                hint = "put '- ' before each row under the part"
                if isinstance(value, Scalar) and not value.empty:
                    hint = "rows start with '- '; a note is written after ';', not after ':'"
                log.error(
                    Place(file, value.line, value.column),
                    "wrong-type",
                    f"expected the rows of '{short(name)}', found {described(value)}",
                    hint,
                )
    else:
        log.error(
            Place(file, node.line, node.column),
            "wrong-type",
            f"expected a list of rows, found {described(node)}",
            "start each row with '- '",
        )
    if not rows and len(log) == before:
        log.error(
            Place(file, node.line, node.column),
            "no-rows",
            "expected at least one ingredient row, found none",
            "- 160 g pearl barley, dry",
        )
    return tuple(rows)


class _Rows:
    __slots__ = ("file", "log")

    def __init__(self, file: str, log: ProblemLog) -> None:
        self.file = file
        self.log = log

    def part(self, name: str, node: Sequence, rows: list[Row]) -> None:
        if len(rows) + len(node.items) > MOST_ROWS:
            self.log.error(
                Place(self.file, node.line, node.column),
                "too-many-rows",
                f"expected at most {MOST_ROWS} rows, found more",
                "make recipes of its parts and name them with 'recipe:'",
            )
            return
        if not node.items:
            self.log.error(
                Place(self.file, node.line, node.column),
                "no-rows",
                f"expected rows in the part '{name}', found none",
                "delete it",
            )
        for item in node.items:
            row = self.row(name, item)
            if row is not None:
                rows.append(row)

    def row(self, part: str, node: Node, swap: bool = False) -> Row | None:
        if type(node) is Scalar:
            return self.text_row(part, node)
        if isinstance(node, Mapping):
            return self.mapping_row(part, node, swap)
        self.log.error(
            Place(self.file, node.line, node.column),
            "wrong-type",
            f"expected a row, found {described(node)}",
            "write '- 160 g pearl barley, dry', or a mapping with amount and food",
        )
        return None

    def text_row(self, part: str, node: Scalar) -> Row | None:
        text = node.text
        if not text.isprintable():
            text = " ".join(text.split())
        place = Place(self.file, node.line, node.column)
        before, mark, note = text.partition(";")
        try:
            quantity, words = parse_amount(before)
        except Trouble as trouble:
            self.log.add(trouble.at(place))
            return None
        if not words:
            self.log.error(
                place,
                "no-food",
                f"expected a food after the amount, found '{short(text)}'",
                "write AMOUNT FOOD, as in '160 g pearl barley, dry'",
            )
            return None
        return Row(part, quantity, words, place, before.strip(), note=note.strip() if mark else "")

    def mapping_row(self, part: str, node: Mapping, swap: bool) -> Row | None:
        fields = Fields(node, self.file, self.log)
        place = Place(self.file, node.line, node.column)
        before = len(self.log)
        self.keys(fields)
        if len(self.log) > before and not node.entries.keys() & {"food", "recipe", "amount"}:
            return None
        food, recipe = fields.text("food", 200), fields.text("recipe", 200)
        if food and recipe:
            self.log.error(
                place, "food-and-recipe", "expected either food or recipe in a row, found both", "make two rows of it"
            )
        elif not food and not recipe and len(self.log) == before:
            self.log.error(
                place, "no-food", "expected a food or a recipe in this row, found none", "add 'food:' or 'recipe:'"
            )
        if recipe and not _SLUG.fullmatch(recipe):
            fields.problem(
                node.entries["recipe"][1],
                "bad-slug",
                f"expected the slug of a recipe, found '{short(recipe)}'",
                "small letters, digits and hyphens, as in the recipe's address",
            )
        quantity, words = self.amount(fields, place)
        weighed = fields.choice("weighed", ("cooked", "raw"), "") or None
        row_yield = fields.number("yield", 0.1, 10, "weight after cooking / weight before")
        eaten = fields.number("eaten", 0, 1, "the share that is eaten: 0.3 or 30 %")
        gross = fields.flag("gross")
        self.weighing(fields, place, weighed, row_yield, gross, recipe)
        swaps = self.swaps(fields, part, swap)
        if len(self.log) > before:
            return None
        amount = quantity.text if quantity is not None else "to taste"
        name = food or recipe
        return Row(
            part,
            quantity,
            words,
            place,
            " ".join(piece for piece in (amount, words, name) if piece),
            food or None,
            recipe or None,
            fields.text("note"),
            fields.flag("optional"),
            swaps,
            fields.text("cooked_as", 80) or None,
            1.0 if eaten is None else eaten,
            gross,
            weighed,
            row_yield,
        )

    def keys(self, fields: Fields) -> None:
        """Unknown keys; '2 carrots: peeled' is told apart, for its colon made a mapping of a text row."""
        if _KEY_SET.issuperset(fields.entries):
            return
        for name, (key, value) in fields.entries.items():
            if name in KEYS:
                continue
            if isinstance(value, Scalar) and value.empty and len(fields.entries) > 1:
                fields.problem(
                    key,
                    "unknown-key",
                    f"expected a key of a row, found '{short(name)}' without a value",
                    'inside braces a text with a comma needs quotes: food: "almond drink, unsweetened"',
                )
                continue
            if len(fields.entries) == 1 and re.match(r"\s*[\d½¼¾⅓⅔⅛]", name):
                fields.problem(
                    key,
                    "unknown-key",
                    f"expected a row, found a text with a colon in it: '{short(name)}:'",
                    "write the note after ';' instead of ':', or put the row in quotes",
                )
            else:
                fields.unknown(name, key, KEYS, "a row")

    def amount(self, fields: Fields, place: Place) -> tuple[Quantity | None, str]:
        node = fields.scalar("amount", "an amount")
        if node is None:
            if "amount" not in fields.entries or fields.node("amount") is None:
                self.log.error(
                    place,
                    "no-amount",
                    "expected an amount in this row, found none",
                    "amount: 30 g, or amount: to taste",
                )
            return None, ""
        try:
            quantity, words = parse_amount(node.text)
        except Trouble as trouble:
            self.log.add(trouble.at(fields.place(node)))
            return None, ""
        if quantity is None and words:
            fields.problem(
                node,
                "bad-amount",
                f"expected 'to taste' alone, found '{short(node.text)}'",
                "name the food under 'food:'",
            )
        return quantity, words

    def weighing(
        self,
        fields: Fields,
        place: Place,
        weighed: str | None,
        row_yield: float | None,
        gross: bool,
        recipe: str,
    ) -> None:
        """What `weighed`, `yield` and `gross` ask of each other."""
        keys = fields.entries
        if weighed is not None and "yield" not in keys:
            self.log.error(
                place,
                "missing-yield",
                f"expected a yield with 'weighed: {weighed}', found none",
                "yield: weight after cooking / weight before (pasta about 2.2)",
            )
        if row_yield is not None and "weighed" not in keys:
            self.log.error(
                place,
                "yield-alone",
                "expected 'weighed: cooked' or 'weighed: raw' with a row's yield, found the yield alone",
                "say in which state it was weighed; the yield of the whole recipe stands in the front matter",
            )
        if recipe and (gross or weighed is not None):
            self.log.error(
                place,
                "recipe-row",
                f"expected no '{'gross' if gross else 'weighed'}' on a recipe's row, found it",
                "delete it: a recipe is used as it is",
            )
        if gross and weighed == "cooked":
            self.log.error(
                place,
                "gross-and-cooked",
                "expected a weight before trimming or after cooking, found both",
                "weigh once, and say which",
            )

    def swaps(self, fields: Fields, part: str, swap: bool) -> tuple[Row, ...]:
        node = fields.node("swaps")
        if node is None:
            return ()
        if swap:
            fields.problem(
                node, "swap-in-swap", "expected a swap without swaps of its own, found some", "list them side by side"
            )
            return ()
        if not isinstance(node, Sequence):
            fields.problem(
                node, "wrong-type", f"expected a list for 'swaps', found {described(node)}", "swaps: [40 g smoked tofu]"
            )
            return ()
        found = (self.row(part, item, swap=True) for item in node.items)
        return tuple(row for row in found if row is not None)
