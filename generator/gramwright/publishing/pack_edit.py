"""Changes one line of a bought pack (foods/*.yaml) and nothing else: order, quoting, comments, line ends stay.

    read_entry(text, line) -> Entry                        the pack that starts in a line, as it is written
    set_line(text, line, key, value) -> str                the text with another value of a key; '' takes the line out
    printed(entry, assignment) -> tuple[str, str]          'FAT_g=5.2' or 'fat=5.2 g' as the pack prints it: key, value

What is written is read again before it is given: every other line must say what it said.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import NamedTuple

import yaml

from gramwright.problems import Trouble, near
from gramwright.reading.cells import SALT_PER_SODIUM
from gramwright.reading.components import column_tag
from gramwright.reading.fold import slug
from gramwright.reading.pack_figures import basis, load_rules
from gramwright.reading.packs import KEYS

FIXED = ("name", "id")
LISTS = ("aliases", "contains", "may_contain", "exceptions", "kind")
"""Keys whose value may be a list."""
ENERGY = {"ENERC_kJ": "kJ", "ENERC_kcal": "kcal"}
PER_G = 100.0
_ENTRY = re.compile(r"[;,]")


class Entry(NamedTuple):
    """One pack as written."""

    line: int
    food: str
    """Its id."""
    keys: Mapping[str, str]
    """Key (underscored) -> its text; lists joined by '; '."""


def read_entry(text: str, line: int) -> Entry:
    """Raises Trouble 'table-changed' where no pack starts in the line."""
    node = _entry(text, line)
    keys = {_key(key): _said(value) for key, value in reversed(node.value)}
    return Entry(line, keys.get("id", "").strip() or slug(keys.get("name", "")), keys)


def set_line(text: str, line: int, key: str, value: str) -> str:
    """Raises Trouble 'table-changed', 'cannot-write'."""
    node = _entry(text, line)
    pair = next((pair for pair in node.value if _key(pair[0]) == key), None)
    before = yaml.load(text, Loader=yaml.CBaseLoader)
    at = next(number for number, one in enumerate(_root(text).value) if one.start_mark.line == line - 1)
    for style in ("plain", "quoted"):
        if not value:
            new = text if pair is None else _without(text, node, pair)
        elif pair is None:
            new = _with(text, node, key, _written(value, key, style))
        else:
            new = _replaced(text, pair[1], value, key, style)
        if new is not None and _same(new, before, at, key, value):
            return new
    raise Trouble(
        "cannot-write",
        f"expected a value of '{key}' in line {line} that can be replaced by itself, found one over several lines",
        f"change it there by hand, and add a line to corrections.csv; it is to say '{value}'",
    )


def printed(entry: Entry, assignment: str) -> tuple[str, str]:
    """Raises Trouble 'bad-assignment', 'unknown-component', 'not-as-printed'."""
    name, equals, value = assignment.partition("=")
    name, value = name.strip(), " ".join(value.split())
    if not equals or not name:
        raise Trouble("bad-assignment", f"expected KEY=VALUE, found '{assignment}'", "as in fat='5.2 g'")
    lines = load_rules().lines
    key = name.replace(" ", "_")
    if key in FIXED:
        raise Trouble("bad-assignment", f"expected a figure to correct, found '{name}'", "rename a pack in its file")
    if key in KEYS or key in lines:
        return key, value
    tag = column_tag(name)
    if tag is None:
        close = near(name, [*lines, *KEYS])
        hint = f"did you mean {', '.join(close)}?" if close else "a line of the pack (fat), or a tag (FAT_g)"
        raise Trouble("unknown-component", f"expected a line of the pack or a tag, found '{name}'", hint)
    return _by_tag(entry, name, value)


def _by_tag(entry: Entry, tag: str, value: str) -> tuple[str, str]:
    """A figure per 100 g in the tag's unit as the pack prints it."""
    key = "energy" if tag in ENERGY else next((key for key, one in load_rules().lines.items() if one == tag), "")
    if tag == "NA_mg" and "salt" in entry.keys:
        key = "salt"
    if tag == "SALT_g" and "sodium" in entry.keys:
        key = "sodium"
    per = basis(entry.keys.get("per", ""))
    rival = {"carbohydrate": "total_carbohydrate", "total_carbohydrate": "carbohydrate"}.get(key, "")
    if not key:
        raise _not_printed(entry, tag, "a line of a pack", "no pack has one", "correct what the pack prints")
    if per.amount != PER_G or per.unit != "g":
        raise _not_printed(
            entry, tag, f"what the pack prints, per {entry.keys.get('per', '')}", "a figure per 100 g", _as_printed(key)
        )
    if key == "energy" and len(re.findall("kJ|kcal", entry.keys.get(key, ""), re.IGNORECASE)) > 1:
        raise _not_printed(
            entry, tag, f"both energies, as the pack prints them ('{entry.keys[key]}')", "one", _as_printed(key)
        )
    if key not in entry.keys and rival in entry.keys:
        raise _not_printed(entry, tag, f"its '{rival}', which the pack prints", f"'{key}'", _as_printed(rival))
    unit = tag.rpartition("_")[2].replace("ug", "µg")
    if key == "salt" and tag == "NA_mg":
        value, unit = _times(value, SALT_PER_SODIUM / 1000), "g"
    elif key == "sodium" and tag == "SALT_g":
        value, unit = _times(value, 1000 / SALT_PER_SODIUM), "mg"
    if value in ("", "tr"):
        return key, "trace" if value else ""
    return key, f"{value} {unit}"


def _as_printed(key: str) -> str:
    example = {"energy": "1654 kJ / 391 kcal"}.get(key, "...")
    return f"write it as the pack does: {key}='{example}'"


def _not_printed(entry: Entry, tag: str, expected: str, found: str, hint: str) -> Trouble:
    return Trouble("not-as-printed", f"expected {expected}, found {found} in {tag} for '{entry.food}'", hint)


def _times(value: str, factor: float) -> str:
    if value in ("", "tr"):
        return value
    sign = "<" if value.startswith("<") else ""
    try:
        return f"{sign}{float(value.removeprefix('<').replace(',', '.')) * factor:.4g}"
    except ValueError:
        raise Trouble("not-a-number", f"expected a number, found '{value}'", "as in 389") from None


# ---------------------------------------------------------------- the text


def _root(text: str) -> yaml.SequenceNode:
    try:
        root = yaml.compose(text, Loader=yaml.CBaseLoader)
    except yaml.YAMLError as error:
        raise Trouble("table-changed", f"expected a list of packs, found what cannot be read: {error}", "") from error
    if not isinstance(root, yaml.SequenceNode):
        raise Trouble("table-changed", "expected a list of packs, found none", "read the file again")
    return root


def _entry(text: str, line: int) -> yaml.MappingNode:
    for node in _root(text).value:
        if isinstance(node, yaml.MappingNode) and node.start_mark.line == line - 1:
            return node
    raise Trouble("table-changed", f"expected a pack in line {line}, found none", "read the file again")


def _key(node: yaml.Node) -> str:
    return str(node.value).strip().replace(" ", "_")


def _said(node: yaml.Node) -> str:
    if isinstance(node, yaml.SequenceNode):
        return "; ".join(str(item.value).strip() for item in node.value)
    return " ".join(str(node.value).split())


def _items(value: str) -> list[str]:
    return [item.strip() for item in _ENTRY.split(value) if item.strip()]


def _written(value: str, key: str, style: str) -> str:
    """A value as it stands behind its key."""
    if key in LISTS and len(_items(value)) > 1:
        return f"[{', '.join(_scalar(item, style) for item in _items(value))}]"
    return _scalar(value, style)


def _scalar(value: str, style: str) -> str:
    return value if style == "plain" else '"' + value.replace("\\", "\\\\").replace('"', '\\"') + '"'


def _replaced(text: str, node: yaml.Node, value: str, key: str, style: str) -> str | None:
    """None where the old value does not stand by itself in one place."""
    if isinstance(node, yaml.ScalarNode):
        if node.style in ("|", ">"):
            return None
        if node.style == "'" and not (key in LISTS and len(_items(value)) > 1):
            new = "'" + value.replace("'", "''") + "'"
        else:
            new = _written(value, key, "quoted" if node.style == '"' else style)
        lead = " " if node.start_mark.index == node.end_mark.index and not node.style else ""
    elif isinstance(node, yaml.SequenceNode) and node.flow_style:
        new, lead = f"[{', '.join(_scalar(item, style) for item in _items(value))}]", ""
    else:
        return None
    return text[: node.start_mark.index] + lead + new + text[node.end_mark.index :]


def _with(text: str, node: yaml.MappingNode, key: str, written: str) -> str:
    """A new line behind the last figure of the pack."""
    figures = {"energy", *load_rules().lines}
    last = next((pair for pair in reversed(node.value) if _key(pair[0]) in figures), node.value[0])
    end = last[1].end_mark.index
    if node.flow_style:
        return f"{text[:end]}, {key}: {written}{text[end:]}"
    rest = re.compile(r"[^\r\n]*").match(text, end)
    stop = end if rest is None else rest.end()
    line_end = next((one for one in ("\r\n", "\n", "\r") if one in text), "\n")
    return f"{text[:stop]}{line_end}{' ' * last[0].start_mark.column}{key}: {written}{text[stop:]}"


def _without(text: str, node: yaml.MappingNode, pair: tuple[yaml.Node, yaml.Node]) -> str | None:
    """The text without a whole line; None where the line has more than the one key."""
    key, value = pair
    if node.flow_style or pair is node.value[0] or key.start_mark.line != value.end_mark.line:
        return None
    start = key.start_mark.index - key.start_mark.column
    rest = re.compile(r"[^\r\n]*(?:\r\n|\n|\r|$)").match(text, value.end_mark.index)
    return text[:start] + text[value.end_mark.index if rest is None else rest.end() :]


def _same(text: str, before: list[dict[str, object]], at: int, key: str, value: str) -> bool:
    """Whether the text says what was said before, but for one key of one pack."""
    try:
        after = yaml.load(text, Loader=yaml.CBaseLoader)
    except yaml.YAMLError:
        return False
    if not isinstance(after, list) or len(after) != len(before):
        return False

    def plain(pack: object, but: bool) -> object:
        if not isinstance(pack, dict):
            return pack
        return [(name, said) for name, said in pack.items() if not (but and name.strip().replace(" ", "_") == key)]

    if any(plain(old, n == at) != plain(new, n == at) for n, (old, new) in enumerate(zip(before, after, strict=True))):
        return False
    now = {name.strip().replace(" ", "_"): said for name, said in after[at].items()}.get(key, "")
    return _items("; ".join(now)) == _items(value) if isinstance(now, list) else now == value
