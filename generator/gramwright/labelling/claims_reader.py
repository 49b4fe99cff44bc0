"""Takes the claims of a rule set file, gives ClaimRules by name; raises Trouble 'bad-rule-set'."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

from gramwright.labelling.claim_data import claim_data
from gramwright.labelling.rounding import unit_of
from gramwright.labelling.rules_model import Basis, Case, ClaimRule, Companion, Condition, LineRule, Rows, Source
from gramwright.labelling.sentences import Sentences
from gramwright.labelling.strict import Fields, bad
from gramwright.model import Tag

SIMPLE = {Basis.PER_100G, Basis.PER_50G, Basis.PER_PORTION}
CLAIM = {"name", "also", "weaker", "companion", "all", "any", "main_dish", "each", "source"}
CONDITION = {"of", "per", "at_least", "at_most", "above", "below", "drinks", "rows", "reference_share", "drinks_share"}
NEVER = {Rows.COMPARISON, Rows.UNLISTED, Rows.PROTEIN_QUALITY}
"""Conditions that no dish meets."""
SHARES = {Basis.ENERGY, Basis.FATTY_ACIDS}
LIMITS = {"at_least": (True, False), "above": (True, True), "at_most": (False, False), "below": (False, True)}
"""Key -> (at least, strict)."""


def read_claims(
    entries: Sequence[Any],
    sources: Mapping[str, Source],
    lines: Sequence[LineRule],
    reference: Mapping[Tag, float],
    spoken: Sentences,
) -> dict[str, ClaimRule]:
    """Claims by name, in file order; `each` gives one claim per tag that has a reference amount."""
    names = {line.tag: line.name for line in lines if line.tag} | dict(claim_data().nutrients)
    told = _Told(spoken, names | dict(spoken.nutrients), reference)
    claims: dict[str, ClaimRule] = {}
    for place, data in enumerate(entries, 1):
        block = Fields(data, f"claims[{place}]", CLAIM)
        tags: tuple[Tag, ...] = block.texts("each") or ("",)
        for tag in tags:
            claim = _claim(block, tag, names, sources, told)
            if claim.name in claims:
                raise bad(block.path, f"expected each claim once, found '{claim.name}' again")
            claims[claim.name] = claim
    for claim in claims.values():
        for weaker in claim.weaker:
            if weaker not in claims:
                raise bad(f"claims.{claim.name}.weaker", f"expected a claim of this file, found '{weaker}'")
    return claims


class _Told(NamedTuple):
    """What the conditions of one rule set are worded with."""

    spoken: Sentences
    names: Mapping[Tag, str]
    """Tag -> its name inside a sentence, in the language."""
    reference: Mapping[Tag, float]


def _claim(block: Fields, tag: Tag, names: Mapping[Tag, str], sources: Mapping[str, Source], told: _Told) -> ClaimRule:
    def named(text: str) -> str:
        return text.replace("{name}", names.get(tag, tag))

    cases = _cases(block, tag, told)
    meal = Fields(block.get("main_dish", {}), f"{block.path}.main_dish", {"all", "any"})
    single = len(cases) == 1 and len(cases[0].conditions) == 1 and not cases[0].rows and "main_dish" not in block
    name, pattern = named(block.text("name")), block.text("name")
    return ClaimRule(
        name=name,
        shown=told.spoken.claim(name, pattern, told.names.get(tag, tag)),
        also=tuple(named(also) for also in block.texts("also")),
        cases=cases,
        only=cases[0].conditions[0] if single else None,
        main_dish=_cases(meal, tag, told) if "main_dish" in block else (),
        weaker=tuple(named(weaker) for weaker in block.texts("weaker")),
        each=tag,
        source=block.source(sources),
        companion=_companion(block.maybe("companion", {"text", "tag"}), told.spoken),
        screen=tuple(_screen(case) for case in cases if NEVER.isdisjoint(case.rows)),
    )


def _companion(block: Fields | None, spoken: Sentences) -> Companion | None:
    return None if block is None else Companion(spoken.of(block.text("text")), block.text("tag"))


def _screen(case: Case) -> tuple[tuple[Tag, Basis, bool, float], ...]:
    """The tags that must be known, each with a bound beyond which it is no near miss."""
    near = claim_data().near * (1 + 1e-9)
    found: list[tuple[Tag, Basis, bool, float]] = []
    for c in case.conditions:
        if len(c.tags) == 1 and c.basis in SIMPLE:
            found.append((c.tags[0], c.basis, c.at_least, c.limit * (1 - near if c.at_least else 1 + near)))
        else:
            found += [(tag, Basis.PER_PORTION, True, 0.0) for tag in c.tags]
    return tuple(found)


def _cases(block: Fields, tag: Tag, told: _Told) -> tuple[Case, ...]:
    if ("all" in block) == ("any" in block):
        raise bad(block.path, "expected either 'all' or 'any', found both or none")
    if "all" in block:
        return (_case(block.items("all"), f"{block.path}.all", tag, told),)
    return tuple(
        _case(case if isinstance(case, list) else [case], f"{block.path}.any[{place}]", tag, told)
        for place, case in enumerate(block.items("any"), 1)
    )


def _case(entries: Sequence[Any], path: str, tag: Tag, told: _Told) -> Case:
    conditions: list[Condition] = []
    rows: list[Rows] = []
    for place, data in enumerate(entries, 1):
        entry = Fields(data, f"{path}[{place}]", CONDITION)
        if "rows" in entry:
            rows.append(entry.choice("rows", Rows))
        else:
            conditions.append(_condition(entry, tag, told))
    if not conditions and not rows:
        raise bad(path, "expected at least one condition, found none")
    return Case(tuple(conditions), tuple(rows))


def _condition(entry: Fields, tag: Tag, told: _Told) -> Condition:
    spoken, names, reference = told
    tags = tuple(tag if name == "each" else name for name in entry.texts("of"))
    if not tags or not all(tags):
        raise bad(entry.path, "expected 'of' with a tag, found none")
    basis = entry.choice("per", Basis)
    note: tuple[str, str] | None = None
    if "reference_share" in entry:
        share = entry.number("reference_share")
        if len(tags) != 1 or tags[0] not in reference:
            raise bad(entry.path, f"expected one tag with a reference amount, found {list(tags)}")
        whole = reference[tags[0]]
        at_least, strict = True, False
        limit = round(whole * share, 9)
        liquid = round(whole * entry.number("drinks_share", share), 9)
        note = (f"{share * 100:g}", f"{whole:g} {unit_of(tags[0])}")
    else:
        found = [key for key in LIMITS if key in entry]
        if len(found) != 1:
            raise bad(entry.path, f"expected one of {list(LIMITS)}, found {found}")
        at_least, strict = LIMITS[found[0]]
        limit = entry.number(found[0])
        liquid = entry.number("drinks", limit)
    said = spoken.joined(list(dict.fromkeys(names.get(name, name.rpartition("_")[0]) for name in tags)))
    rule = found[0] if note is None else "at_least"
    return Condition(
        basis,
        tags,
        at_least,
        limit,
        strict,
        liquid,
        names=said,
        said=spoken.say(f"claim.where.{basis.value}", name=said),
        rule=_rule(spoken, rule, _amount(basis, tags[0], limit), note),
        liquid_rule=_rule(spoken, rule, _amount(basis, tags[0], liquid), note if liquid == limit else None),
    )


def _amount(basis: Basis, tag: Tag, limit: float) -> str:
    """'3 g', '20 %'."""
    return f"{limit * 100:g} %" if basis in SHARES else f"{limit:g} {unit_of(tag)}"


def _rule(spoken: Sentences, rule: str, amount: str, note: tuple[str, str] | None) -> str:
    """'3 g needed', 'at most 3 g allowed', 'less than 0.5 g allowed', '12 mg (15 % of 80 mg) needed'."""
    said = spoken.number(amount)
    if note is not None:
        said = spoken.say("claim.rule.share", amount=said, share=spoken.number(note[0]), whole=spoken.number(note[1]))
    return spoken.say(f"claim.rule.{rule}", amount=said)
