"""Takes the text of a mapping file, gives how a foreign table becomes ours; what is wrong in it is located.

The grammar is the comment head of content/imports/ifct2017.yaml.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal, InvalidOperation

from gramwright.composition.imports.foreign import Numbers, factor
from gramwright.composition.imports.mapping import (
    FDC,
    NUMBERS,
    TABLE,
    Component,
    ImportMapping,
    Portions,
    TextColumn,
)
from gramwright.composition.imports.sheets import ENCODINGS, Reading
from gramwright.model import Quality
from gramwright.problems import Place, ProblemLog, Trouble
from gramwright.reading.components import column_tag, near_heads
from gramwright.reading.fields import Fields, parse_date
from gramwright.reading.fold import fold
from gramwright.reading.food_lines import EXTRA_COLUMNS, PLAIN_COLUMNS
from gramwright.reading.settings import CONVENTIONS
from gramwright.reading.yaml_nodes import Mapping as Node
from gramwright.reading.yaml_nodes import Node as AnyNode
from gramwright.reading.yaml_nodes import Scalar, described, parse
from gramwright.reading.yaml_nodes import Sequence as NodeList

OURS = {"food", *NUMBERS, "contains", "may_contain", "allergens_checked", "exceptions", "kind"}
"""No foreign text may fill these: ids are made, figures stand apart, allergens and kinds are the author's word."""
TEXTS = tuple(name for name in (*PLAIN_COLUMNS, *EXTRA_COLUMNS) if name not in OURS)
KEYS = (
    "name", "layout", "file", "reading", "marks", "id", "columns", "fixed", "components", "measures", "data_types",
    "borrowed",
)  # fmt: skip
READING = ("encoding", "delimiter", "decimal", "thousands", "head_line", "first_line", "head_after")
DELIMITERS = {",": ",", ";": ";", "|": "|", "comma": ",", "semicolon": ";", "tab": "\t", "pipe": "|"}
SIGNS = {"point": ".", "comma": ",", ".": ".", ",": ",", "'": "'", "none": ""}
GRAMMAR = "the grammar is the head of content/imports/ifct2017.yaml"
_ID = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*")


def read_mapping(text: str, file: str, mapping_id: str, log: ProblemLog) -> ImportMapping | None:
    """The mapping, or None when errors were logged."""
    before = len(log)
    node = parse(text, file, log)
    if not isinstance(node, Node):
        if len(log) == before:
            log.error(Place(file, 1), "wrong-type", "expected 'key: value' lines, found none", "name: My table")
        return None
    mapping = _Reader(Fields(node, file, log)).mapping(mapping_id)
    return None if any(problem.severity == "error" for problem in list(log)[before:]) else mapping


class _Reader:
    def __init__(self, fields: Fields) -> None:
        self.fields = fields
        self.file = fields.file
        self.log = fields.log

    def mapping(self, mapping_id: str) -> ImportMapping:
        fields = self.fields
        fields.only(KEYS, "a mapping")
        layout = fields.choice("layout", (TABLE, FDC), TABLE)
        ids = self.block("id", ("prefix", "column"))
        prefix, id_column = ids.text("prefix"), ids.text("column")
        portions, volumes = self.measures()
        reading, numbers = self.reading()
        mapping = ImportMapping(
            id=mapping_id,
            name=fields.text("name") or mapping_id,
            layout=layout,
            file=fields.text("file"),
            reading=reading,
            numbers=numbers,
            prefix=prefix,
            id_column=id_column,
            texts=self.texts(),
            fixed=self.fixed(),
            components=self.components(layout),
            portions=portions,
            volumes=volumes,
            data_types=self.words(fields.node("data_types"), "data_types", folded=False),
            borrowed=fields.texts("borrowed"),
        )
        self.needed(mapping)
        return mapping

    def block(self, key: str, known: Sequence[str]) -> Fields:
        """A mapping under a key; an empty one when it is absent or something else (which is logged)."""
        node = self.fields.node(key)
        if node is not None and not isinstance(node, Node):
            self.fields.problem(
                node,
                "wrong-type",
                f"expected a mapping for '{key}', found {described(node)}",
                f"{key}: {{{known[0]}: ...}}" if known else "",
            )
        inner = Fields(node if isinstance(node, Node) else Node({}, 1, 1), self.file, self.log)
        if known:
            inner.only(known, f"'{key}'")
        return inner

    def needed(self, mapping: ImportMapping) -> None:
        """What every mapping must say."""
        lacks = {
            "a prefix for the ids (id: prefix)": not mapping.prefix,
            "the column with the publisher's code (id: column)": mapping.layout == TABLE and not mapping.id_column,
            "the column with the foods' names (columns: name)": mapping.layout == TABLE and "name" not in mapping.texts,
            "the publisher (fixed: source)": not {"source"} & (mapping.texts.keys() | mapping.fixed.keys()),
            "whose spoons and cups the portions were weighed with (measures: volumes)": not mapping.volumes
            and (bool(mapping.portions) or mapping.layout == FDC),
        }
        for what, lacking in lacks.items():
            if lacking:
                self.log.error(Place(self.file), "missing-key", f"expected {what}, found none", GRAMMAR)
        if mapping.prefix and not _ID.fullmatch(mapping.prefix):
            self.log.error(
                Place(self.file),
                "bad-id",
                f"expected a prefix of small letters, digits and hyphens, found '{mapping.prefix}'",
                "such as uk",
            )

    def reading(self) -> tuple[Reading, Numbers]:
        inner = self.block("reading", READING)
        head_line = inner.number("head_line", 1, 1000)
        first_line = inner.number("first_line", 1, 100_000)
        decimal = SIGNS[inner.choice("decimal", ("point", "comma", ".", ","), "point")]
        thousands = SIGNS[inner.choice("thousands", tuple(SIGNS), "none")]
        if thousands == decimal:
            self.log.error(
                Place(self.file),
                "bad-mapping",
                f"expected different signs for decimals and thousands, found '{decimal}' for both",
                "delete 'thousands' when the table has none",
            )
        marks = self.block("marks", ("unknown", "trace"))
        reading = Reading(
            encoding=inner.choice("encoding", ENCODINGS, "utf-8"),
            delimiter=DELIMITERS[inner.choice("delimiter", tuple(DELIMITERS), ",")],
            head_line=1 if head_line is None else int(head_line),
            first_line=0 if first_line is None else int(first_line),
            head_after=inner.text("head_after", 5),
        )
        return reading, Numbers(decimal, thousands, marks.texts("unknown"), marks.texts("trace"))

    def texts(self) -> dict[str, TextColumn]:
        columns = self.block("columns", ())
        found: dict[str, TextColumn] = {}
        for name, key, node in columns.mapping.items():
            if name not in TEXTS:
                columns.unknown(name, key, TEXTS, "'columns'")
                continue
            if not isinstance(node, Node):
                heads = self.heads(name, node)
                if heads:
                    found[name] = TextColumn(heads)
                continue
            inner = Fields(node, self.file, self.log)
            inner.only(("column", "words", "finds", "otherwise"), f"'{name}'")
            heads = self.heads("column", inner.node("column"), node)
            words = self.words(inner.node("words"), "words")
            finds = tuple(self.words(inner.node("finds"), "finds").items())
            otherwise = inner.text("otherwise") if "otherwise" in node.entries else None
            found[name] = TextColumn(heads, words, finds, otherwise)
        return found

    def heads(self, key: str, node: AnyNode | None, near: AnyNode | None = None) -> tuple[str, ...]:
        """One head or a list of heads."""
        items: list[AnyNode] = list(node.items) if isinstance(node, NodeList) else [] if node is None else [node]
        texts = [item.text.strip() for item in items if isinstance(item, Scalar) and not item.empty]
        if not texts or len(texts) != len(items):
            self.fields.problem(
                node or near or self.fields.mapping,
                "wrong-type",
                f"expected a column's head (or several) for '{key}', found {described(node) if node else 'none'}",
                f"{key}: Protein",
            )
            return ()
        return tuple(texts)

    def words(self, node: AnyNode | None, key: str, folded: bool = True) -> dict[str, str]:
        if node is None:
            return {}
        if not isinstance(node, Node):
            self.fields.problem(
                node, "wrong-type", f"expected 'theirs: ours' for '{key}', found {described(node)}", f"{key}: {{a: b}}"
            )
            return {}
        found: dict[str, str] = {}
        for name, _, value in node.items():
            if isinstance(value, Scalar):
                found[fold(name) if folded else name] = value.text.strip()
            else:
                self.fields.problem(
                    value, "wrong-type", f"expected a word for '{name}', found {described(value)}", "theirs: ours"
                )
        return found

    def fixed(self) -> dict[str, str]:
        inner = self.block("fixed", ())
        found: dict[str, str] = {}
        for name, key, node in inner.mapping.items():
            if name not in TEXTS:
                inner.unknown(name, key, TEXTS, "'fixed'")
                continue
            text = inner.text(name)
            try:
                if name == "updated" and text:
                    text = parse_date(text)
                if name == "quality" and text:
                    text = Quality(text).value
            except Trouble as trouble:
                self.log.add(trouble.at(inner.place(node)))
            except ValueError:
                inner.problem(
                    node,
                    "unknown-choice",
                    f"expected {', '.join(quality.value for quality in Quality)} as quality, found '{text}'",
                    "analysed in a laboratory, from a table, declared on a pack, or estimated",
                )
            found[name] = text
        return found

    def components(self, layout: str) -> tuple[Component, ...]:
        block = self.block("components", ())
        found = [
            component
            for name, key, node in block.mapping.items()
            if (component := self.component(name, key, node, layout)) is not None
        ]
        if not found:
            self.log.error(
                Place(self.file),
                "missing-key",
                "expected components, found none",
                "components: {PROCNT_g: {column: Protein, unit: g}}",
            )
        return tuple(found)

    def component(self, name: str, key: Scalar, node: AnyNode, layout: str) -> Component | None:
        place = Place(self.file, key.line, key.column)
        try:
            known = name in NUMBERS or column_tag(name) is not None
        except Trouble as trouble:
            self.log.add(trouble.at(place))
            return None
        if not known:
            close = near_heads(name, NUMBERS)
            self.log.error(
                place,
                "unknown-key",
                f"expected a component with its unit, found '{name}'",
                f"did you mean {' or '.join(close)}?" if close else "such as PROCNT_g, NA_mg, ENERC_kJ",
            )
            return None
        if not isinstance(node, Node):
            return self.checked(Component(name, self.heads(name, node), "", Decimal(1), False, place), layout)
        inner = Fields(node, self.file, self.log)
        inner.only(("column", "unit", "times", "zero"), f"'{name}'")
        times = inner.parsed("times", _times, "a number")
        zero = inner.choice("zero", ("zero", "unknown"), "zero")
        heads = self.heads("column", inner.node("column"), key)
        component = Component(name, heads, inner.text("unit"), times or Decimal(1), zero == "unknown", place)
        return self.checked(component, layout)

    def checked(self, component: Component, layout: str) -> Component | None:
        """The component with its factor worked out, where the mapping says the unit."""
        if not component.unit or component.column in NUMBERS:
            return component
        try:
            times = component.times * factor(component.unit, component.our_unit)
        except Trouble as trouble:
            self.log.add(trouble.at(component.place))
            return None
        return replace(component, unit="" if layout == TABLE else component.unit, times=times)

    def measures(self) -> tuple[tuple[Portions, ...], str]:
        inner = self.block("measures", ("volumes", "columns"))
        volumes = inner.choice("volumes", CONVENTIONS, "")
        node = inner.node("columns")
        found: list[Portions] = []
        for item in node.items if isinstance(node, NodeList) else [] if node is None else [node]:
            if not isinstance(item, Node):
                inner.problem(
                    item,
                    "wrong-type",
                    f"expected a mapping, found {described(item)}",
                    "columns: [{portion: Description, grams: Weight}]",
                )
                continue
            entry = Fields(item, self.file, self.log)
            entry.only(("portion", "grams"), "a measure")
            portion, grams = entry.text("portion"), entry.text("grams")
            if portion and grams:
                found.append(Portions(portion, grams))
            else:
                entry.problem(
                    item,
                    "missing-key",
                    "expected the columns 'portion' and 'grams', found one",
                    "{portion: A, grams: B}",
                )
        return tuple(found), volumes


def _times(text: str) -> Decimal:
    try:
        number = Decimal(text.strip())
    except InvalidOperation as error:
        raise Trouble(
            "bad-number", f"expected a number, found '{text.strip()[:40]}'", "such as 1000 or 0.001"
        ) from error
    if not number.is_finite() or not Decimal("1e-9") <= number <= Decimal("1e9"):
        raise Trouble("bad-number", f"expected a sane factor, found '{text.strip()[:40]}'", "such as 1000 or 0.001")
    return number
