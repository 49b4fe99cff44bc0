"""Takes the text of hub.yaml, gives Settings; unknown keys and values that do not fit are located problems."""

from __future__ import annotations

import re
from urllib.parse import urlsplit

from gramwright.model import Settings
from gramwright.problems import Place, ProblemLog, Trouble
from gramwright.reading.fields import Fields
from gramwright.reading.plan_kitchen import read_gear
from gramwright.reading.yaml_nodes import Mapping, Node, Scalar, Sequence, described, parse, short

KEYS = (
    "id",
    "title",
    "base_url",
    "language",
    "rule_set",
    "author",
    "description",
    "energy",
    "cautions",
    "measures",
    "pack_months",
    "corrections_days",
    "share_cards",
    "also_rules",
    "kitchen",
)
CONVENTIONS = ("metric", "australian", "us", "us-label")
"""Which spoons and cups: composition.units has their volumes."""

_LANGUAGE = re.compile(r"[a-zA-Z]{2,3}(?:-[a-zA-Z0-9]{2,8})*")
_ID = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*")


def read_settings(text: str, file: str, log: ProblemLog) -> Settings | None:
    """The hub's settings, or None when errors were logged."""
    here = ProblemLog()
    node = parse(text, file, here)
    if node is None and not len(here):
        here.error(Place(file, 1), "no-title", "expected the hub's settings, found an empty file", "title: My hub")
    elif node is not None and not isinstance(node, Mapping):
        here.error(
            Place(file, node.line, node.column),
            "wrong-type",
            f"expected 'key: value' lines, found {described(node)}",
            "title: My hub",
        )
    settings = _settings(Fields(node, file, here)) if isinstance(node, Mapping) else None
    log.extend(here)
    return None if here.has_errors else settings


def _settings(fields: Fields) -> Settings:
    fields.only(KEYS, "hub.yaml")
    title = fields.text("title", 120)
    if not title and not len(fields.log):
        fields.log.error(Place(fields.file, 1), "no-title", "expected the hub's title, found none", "title: My hub")
    spoons, cups = _measures(fields)
    pack_months = fields.number("pack_months", 1, 120)
    corrections_days = fields.number("corrections_days", 0, 3650)
    rule_set = fields.parsed("rule_set", _rule_set, "the id of a rule set") or "eu"
    cautions = fields.texts("cautions")
    return Settings(
        title=title,
        base_url=fields.parsed("base_url", parse_base_url, "an address") or "",
        language=fields.parsed("language", _language, "a language tag") or "en",
        rule_set=rule_set,
        author=fields.text("author", 120),
        description=fields.text("description", 500),
        energy=fields.choice("energy", ("factors", "table"), "factors"),
        spoons=spoons,
        cups=cups,
        cautions=cautions,
        caution_places=_places(fields, "cautions", cautions),
        pack_months=12 if pack_months is None else int(pack_months),
        corrections_days=90 if corrections_days is None else int(corrections_days),
        share_cards=fields.flag("share_cards") if fields.node("share_cards") is not None else True,
        also_rules=_also_rules(fields, rule_set),
        kitchen=read_gear(fields),
        hub_id=fields.parsed("id", _hub_id, "a name of small letters, digits and hyphens") or "",
        place=_rule_set_place(fields),
    )


def _places(fields: Fields, key: str, texts: tuple[str, ...]) -> tuple[Place, ...]:
    """Where each text of a list is written; texts divided by commas share their line's place."""
    node = fields.node(key)
    if node is None:
        return ()
    items = node.items if isinstance(node, Sequence) else []
    written = {item.text.strip(): fields.place(item) for item in reversed(items) if isinstance(item, Scalar)}
    return tuple(written.get(text, fields.place(node)) for text in texts)


def _also_rules(fields: Fields, rule_set: str) -> tuple[tuple[str, Place], ...]:
    """Further rule sets, each once, none of them the hub's own; whether they exist is the labelling room's to say."""
    node = fields.node("also_rules")
    items: list[tuple[str, Node]] = []
    if isinstance(node, Scalar):
        items = [(text, node) for text in node.text.split(",")]
    elif isinstance(node, Sequence):
        items = [(item.text if isinstance(item, Scalar) else "", item) for item in node.items]
    elif node is not None:
        message = f"expected a list for 'also_rules', found {described(node)}"
        fields.problem(node, "wrong-type", message, "write also_rules: [us, codex]")
    found: dict[str, Place] = {}
    for text, item in items:
        try:
            name = _rule_set(text)
        except Trouble as trouble:
            message = f"expected the id of a rule set in 'also_rules', found {described(item)}"
            fields.problem(item, trouble.code, message, trouble.hint)
            continue
        if name == rule_set:
            fields.problem(
                item,
                "duplicate-rule-set",
                f"expected 'also_rules' to name other rule sets than the hub's own, found '{short(name)}'",
                "delete it: every page shows the hub's own already",
            )
        elif name in found:
            fields.problem(
                item,
                "duplicate-rule-set",
                f"expected each rule set of 'also_rules' once, found '{short(name)}' twice",
                "delete one",
            )
        else:
            found[name] = fields.place(item)
    return tuple(found.items())


def _measures(fields: Fields) -> tuple[str, str]:
    node = fields.node("measures")
    if node is None:
        return "metric", "metric"
    if not isinstance(node, Mapping):
        fields.problem(
            node,
            "wrong-type",
            f"expected a mapping for 'measures', found {described(node)}",
            "measures: {tablespoon: metric, cup: metric}",
        )
        return "metric", "metric"
    inner = Fields(node, fields.file, fields.log)
    inner.only(("tablespoon", "cup"), "measures")
    spoons = inner.choice("tablespoon", CONVENTIONS, "metric")
    return spoons, inner.choice("cup", CONVENTIONS, spoons)


def _rule_set_place(fields: Fields) -> Place:
    entry = fields.mapping.entries.get("rule_set")
    return Place(fields.file, 1) if entry is None else fields.place(entry[1])


def parse_base_url(text: str) -> str:
    """An http or https address without query and fragment, no slash at its end. Raises Trouble 'bad-address'."""
    bare = text.strip()
    if not bare:
        return ""
    hint = "write the address the site will have, as in https://example.org/food, or leave it empty"
    trouble = Trouble("bad-address", f"expected an http or https address, found '{bare[:80]}'", hint)
    try:
        parts = urlsplit(bare)
        host, _ = parts.hostname, parts.port
    except ValueError as error:
        raise trouble from error
    wrong = not host or parts.scheme not in ("http", "https") or parts.query or parts.fragment or parts.username
    if wrong or not re.fullmatch(r"[^\s<>\"'\\^`{|}]+", bare):
        raise trouble
    return bare.rstrip("/")


def _language(text: str) -> str:
    bare = text.strip()
    if not _LANGUAGE.fullmatch(bare):
        raise Trouble("bad-language", f"expected a language tag, found '{bare[:40]}'", "such as en, de, af or pt-BR")
    return bare


def _hub_id(text: str) -> str:
    bare = text.strip()
    if not bare or (_ID.fullmatch(bare) and len(bare) <= 60):
        return bare
    raise Trouble(
        "bad-id",
        f"expected small letters, digits and hyphens that name the hub, found '{bare[:40]}'",
        "such as id: our-kitchen",
    )


def _rule_set(text: str) -> str:
    bare = text.strip().lower()
    if not _ID.fullmatch(bare):
        raise Trouble("unknown-rule-set", f"expected the id of a rule set, found '{bare[:40]}'", "such as eu")
    return bare
