"""Takes the text of a rule set file, gives a RuleSet; raises Trouble 'bad-rule-set' that says where and what.

The grammar is at the head of content/labelling/eu.yaml. Every block must name
one of the file's sources: a figure without a source cannot be loaded.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from math import inf
from typing import Any

from gramwright.labelling.claims_reader import read_claims
from gramwright.labelling.rounding import Band, Rounder, unit_of
from gramwright.labelling.rules_model import (
    Checked,
    ClaimRule,
    EnergyRule,
    EnergyTerm,
    Guidance,
    LineRule,
    RuleSet,
    Significance,
    Source,
    When,
)
from gramwright.labelling.sentences import Sentences, sentences
from gramwright.labelling.strict import Fields, bad
from gramwright.model import Tag

TOP = {
    "id", "name", "law", "jurisdiction", "sources", "energy", "carbohydrate", "salt", "rounding", "lines", "columns",
    "significant", "reference", "shares", "claims_law", "claims", "leftovers", "notes", "main_dish",
}  # fmt: skip
COLUMNS = {"per_100g", "per_portion"}


def read_rules(data: Mapping[str, Any], family: str, language: str = "en") -> RuleSet:
    """A rule set from parsed YAML, speaking a language; `family` is the id of the file that its figures stand in."""
    spoken = sentences(language)
    top = Fields(data, str(data.get("id", "rule set")), TOP)
    sources = {
        str(key): Source(spoken.of(entry.text("cite")), spoken.of(entry.text("what")), entry.choice("checked", Checked))
        for key, entry in top.blocks("sources", {"cite", "what", "checked"})
    }
    lines = _lines(top, sources)
    claims = read_claims(top.items("claims"), sources, lines, _reference(top, sources), spoken)
    names: dict[str, str] = {}
    series: dict[Tag, tuple[ClaimRule, ...]] = {}
    for claim in claims.values():
        if claim.each:
            series[claim.each] = (*series.get(claim.each, ()), claim)
        for name in (claim.name, *claim.also, claim.shown):
            names.setdefault(folded(name), claim.name)
    main_dish = top.maybe("main_dish", {"from_g", "source"})
    significant = top.maybe("significant", {"share", "per", "source"})
    for block in (main_dish, significant):
        if block is not None:
            block.source(sources)
    columns = top.texts("columns")
    if not columns or not set(columns) <= COLUMNS:
        raise bad(top.path, f"expected columns among {sorted(COLUMNS)}, found {list(columns)}")
    return RuleSet(
        id=top.text("id"),
        family=family,
        name=spoken.of(top.text("name")),
        law=spoken.of(top.text("law")),
        jurisdiction=top.text("jurisdiction"),
        energy=_energy(top, sources, spoken),
        columns=columns,
        lines=lines,
        carbohydrate=_meant(top, "carbohydrate", sources),
        salt=_meant(top, "salt", sources),
        rounders=_rounders(top, sources, lines),
        reference=_reference(top, sources),
        share_rounders=_shares(top, sources),
        significance=None
        if significant is None
        else Significance(significant.number("share"), significant.text("per")),
        claims_law=spoken.of(top.text("claims_law")),
        claims=claims,
        single_claims=tuple(claim for claim in claims.values() if not claim.each and (claim.screen or claim.main_dish)),
        claim_series=series,
        claim_names=names,
        main_dish_g=None if main_dish is None else main_dish.number("from_g"),
        leftovers={
            key: Guidance(
                block.number("low"),
                block.number("high"),
                block.text("unit"),
                block.source(sources),
                block.text("note", ""),
            )
            for key, block in top.blocks("leftovers", {"low", "high", "unit", "source", "note"})
        },
        sources=tuple(sources.values()),
        spoken=spoken,
        notes=_notes(sources.values(), top.texts("notes"), spoken),
    )


def _meant(top: Fields, key: str, sources: Mapping[str, Source]) -> Tag:
    block = top.block(key, {"tag", "source"})
    block.source(sources)
    return block.text("tag")


def folded(name: str) -> str:
    """A claim's name for comparison: lower case, hyphens as spaces, British spelling."""
    name = " ".join(name.lower().replace("-", " ").replace("_", " ").split())
    return name.replace("fiber", "fibre")


def _notes(sources: Iterable[Source], own: Iterable[str], spoken: Sentences) -> tuple[str, ...]:
    notes = []
    for checked in (Checked.MEMORY, Checked.SECONDARY, Checked.PRACTICE):
        key = f"checked.{checked.value}"
        notes += [spoken.say(key, what=s.what, cite=s.cite) for s in sources if s.checked is checked]
    return (*notes, *(spoken.of(note) for note in own))


def _energy(top: Fields, sources: Mapping[str, Source], spoken: Sentences) -> EnergyRule:
    block = top.block("energy", {"primary", "shown", "method", "terms", "kJ_is", "kcal_is", "source"})
    kcal_per_kj = _ratio(block, "kcal_is", "kJ /", lambda ratio: 1 / ratio)
    kj_per_kcal = _ratio(block, "kJ_is", "kcal x", lambda ratio: ratio)
    if kcal_per_kj or kj_per_kcal:
        block.source(sources)
    terms = []
    for entry in block.entries("terms", {"key", "add", "less", "kJ", "kcal", "required", "source"}):
        kj = entry.number("kcal") * kj_per_kcal if kj_per_kcal else entry.number("kJ")
        kcal = entry.number("kJ") * kcal_per_kj if kcal_per_kj else entry.number("kcal")
        less = entry.texts("less")
        required = bool(entry.get("required", False))
        terms.append(EnergyTerm(entry.text("key"), entry.text("add"), less, kj, kcal, required, entry.source(sources)))
    missing = {"protein", "carbohydrate", "fat"} - {term.key for term in terms}
    if missing:
        raise bad(block.path, f"expected energy terms for {sorted(missing)}, found none")
    primary = block.text("primary")
    if primary not in {"kJ", "kcal"}:
        raise bad(block.path, f"expected primary: kJ or kcal, found {primary}")
    return EnergyRule(
        terms=tuple(terms),
        primary=primary,
        shown=block.text("shown"),
        method=spoken.of(block.text("method")),
        weights_kj=_weights((term.add, term.less, term.kj) for term in terms),
        weights_kcal=_weights((term.add, term.less, term.kcal) for term in terms),
        required=tuple(term.add for term in terms if term.required),
    )


def _ratio(block: Fields, key: str, opening: str, of: Any) -> float:
    text = block.text(key, "")
    if not text:
        return 0.0
    try:
        if not text.startswith(opening):
            raise ValueError(text)
        return float(of(float(text.removeprefix(opening))))
    except (ValueError, ZeroDivisionError):
        raise bad(block.path, f"expected {key}: '{opening} NUMBER', found '{text}'") from None


def _weights(terms: Iterable[tuple[Tag, tuple[Tag, ...], float]]) -> dict[Tag, float]:
    """(add - less) x factor, multiplied out: tag -> factor; tags that cancel out are left out."""
    weights: dict[Tag, float] = {}
    for add, less, factor in terms:
        weights[add] = weights.get(add, 0.0) + factor
        for tag in less:
            weights[tag] = weights.get(tag, 0.0) - factor
    return {tag: round(weight, 12) for tag, weight in weights.items() if abs(weight) > 1e-9}


def bands(block: Fields) -> list[Band]:
    found = []
    for entry in block.entries("bands", {"to", "below", "step", "figures", "text", "trimmed"}):
        limit = entry.number("to", inf) if "to" in entry else entry.number("below", inf)
        found.append(
            Band(
                limit,
                "to" in entry,
                entry.number("step", 0.0),
                int(entry.number("figures", 0)),
                entry.text("text", ""),
                bool(entry.get("trimmed", False)),
            )
        )
    return found


def _rounders(top: Fields, sources: Mapping[str, Source], lines: tuple[LineRule, ...]) -> dict[str, Rounder]:
    rounders: dict[str, Rounder] = {}
    for _, block in top.blocks("rounding", {"for", "bands", "zero", "unit", "source"}):
        block.source(sources)
        shared = bands(block)
        for tag in block.texts("for"):
            rounders[tag] = Rounder(shared, block.text("unit", unit_of(tag)), block.text("zero", "0"))
    for line in lines:
        if line.tag:
            found = rounders.get(line.tag) or rounders.get("*_" + line.tag.rpartition("_")[2])
            if found is None:
                raise bad(top.path, f"expected a rounding rule for the line {line.key} ({line.tag}), found none")
            rounders[line.key] = rounders[line.tag] = found
    for tag in ("ENERC_kJ", "ENERC_kcal"):
        if tag not in rounders:
            raise bad(top.path, f"expected a rounding rule for {tag}, found none")
    return rounders


def _shares(top: Fields, sources: Mapping[str, Source]) -> dict[str, Rounder]:
    rounders: dict[str, Rounder] = {}
    for block in top.entries("shares", {"for", "bands", "zero", "source"}):
        block.source(sources)
        rounder = Rounder(bands(block), "%", block.text("zero", "0"))
        rounders.update(dict.fromkeys(block.texts("for"), rounder))
    return rounders


def _lines(top: Fields, sources: Mapping[str, Source]) -> tuple[LineRule, ...]:
    lines = []
    for entry in top.entries("lines", {"key", "tag", "level", "when", "name", "source"}):
        entry.source(sources)
        lines.append(
            LineRule(
                entry.text("key"),
                entry.text("tag", ""),
                int(entry.number("level", 0)),
                entry.choice("when", When),
                entry.text("name"),
            )
        )
    return tuple(lines)


def _reference(top: Fields, sources: Mapping[str, Source]) -> dict[Tag, float]:
    values: dict[Tag, float] = {}
    for block in top.entries("reference", {"source", "values"}):
        block.source(sources)
        inner = block.block("values", None)
        values.update({tag: inner.number(tag) for tag in inner})
    return values
