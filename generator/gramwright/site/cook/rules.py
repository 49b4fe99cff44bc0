"""What recipe pages share. Takes settings and words, gives cook-rules.js and cook-words.js, one of each for the site.

It only states data: rounding bands, lines, factors, conditions of claims and
cautions, the law's allergens, units and words. What they mean is what the
rooms below say of them; cook-*.js carries the same rules out.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from functools import lru_cache
from typing import Any

from gramwright.composition.units import MeasureSystem
from gramwright.labelling import allergen_rules, rulesets
from gramwright.labelling.caution_rules import CautionRule, matcher_numbers, of_scope
from gramwright.labelling.cautions import amount_words, name_of
from gramwright.labelling.claim_data import claim_data
from gramwright.labelling.declaration import SALTED
from gramwright.labelling.kinds import DIETS
from gramwright.labelling.rounding import plain_rounder
from gramwright.labelling.rules_model import Case, ClaimRule, Rows, RuleSet, Significance
from gramwright.labelling.sentences import Sentences, foreign
from gramwright.model import Settings
from gramwright.site.cook import kitchen
from gramwright.site.line_names import line_names
from gramwright.site.words import Words

SPOKEN = (
    "panel.of panel.portion panel.likely panel.at_least panel.unknown panel.what panel.what_known panel.where "
    "panel.where_known panel.rest panel.drawing panel.drawing_likely panel.drawing_what panel.drawing_what_known "
    "panel.drawing_where panel.drawing_where_known panel.piece panel.column_piece panel.column_share_known "
    "panel.column_ingredient panel.column_grams panel.column_share "
    "declaration.at_least declaration.of_which declaration.by_factors declaration.by_table declaration.at_least_note "
    "declaration.to_taste declaration.unknown "
    "doubt.coverage doubt.coverage_line doubt.row list.comma "
    "claims.written allergens.title allergens.contains allergens.may_contain allergens.unknown allergens.in_foods "
    "allergens.unknown_of allergens.none allergens.never allergens.short_none allergens.short_unknown "
    "declaration.title declaration.per_100g declaration.per_portion declaration.share declaration.finished_factor "
    "declaration.finished_measured declaration.finished_typical declaration.finished_unknown "
    "recipe.portions recipe.to_taste recipe.silenced suits.note suits.unknown"
).split()
"""Words of the page that the script says too, beside everything below `cook` and `pieces`."""


def rules_script(settings: Settings) -> bytes:
    """cook-rules.js, which is loaded when a reader changes something. Raises Trouble for an unknown rule set."""
    return _script("rules", _rules(settings.rule_set, settings.language, settings.energy))


def words_script(settings: Settings, words: Words) -> bytes:
    """cook-words.js: what the page's script says, how numbers are written, and the units."""
    rules = rulesets.load(settings.rule_set)
    texts: dict[str, Any] = {key: words.texts[key] for key in SPOKEN}
    texts |= {key: text for key, text in words.texts.items() if key.startswith(("cook.", "pieces."))}
    texts |= {f"lines.{key}": name for key, name in line_names(rules.id, words).items()}
    texts |= {f"suits.{diet}": words.get(f"suits.{diet}", diet) for diet in DIETS}
    texts["day"] = words.get(f"declaration.adult.{rules.id}", "")
    return _script(
        "words",
        {
            "texts": texts,
            "language": words.language,
            "decimal": words.decimal,
            "group": words.group,
            "units": kitchen.system(MeasureSystem.of(settings.spoons, settings.cups)),
        },
    )


def _script(name: str, data: Mapping[str, Any]) -> bytes:
    body = json.dumps(data, ensure_ascii=False, separators=(",", ":"))
    return f"(globalThis.GramwrightCook ??= {{}}).{name} = {body};\n".encode()


@lru_cache(maxsize=8)
def _rules(rule_set: str, language: str, energy: str) -> Mapping[str, Any]:
    rules = rulesets.load(rule_set, language)
    return {
        "id": rules.id,
        "by": energy,
        "energy": {
            "shown": rules.energy.shown,
            "primary": rules.energy.primary,
            "kj": dict(rules.energy.weights_kj),
            "kcal": dict(rules.energy.weights_kcal),
            "terms": [[term.key, term.add, list(term.less), term.kj, term.kcal] for term in rules.energy.terms],
        },
        "lines": [[line.key, line.tag, line.level, line.when.value] for line in rules.lines],
        "round": _rounders(rules),
        "salted": sorted(SALTED),
        "significance": _significance(rules.significance),
        "reference": {
            tag: rules.reference[tag]
            for tag in ("ENERC_kJ", "ENERC_kcal", *(line.tag for line in rules.lines))
            if tag in rules.reference
        },
        "shares": {key: plain_rounder(rounder) for key, rounder in sorted(rules.share_rounders.items())},
        "main_dish": rules.main_dish_g,
        "claims": [_claim(claim) for claim in rules.single_claims]
        + [_claim(claim) for series in rules.claim_series.values() for claim in series],
        "density": [claim_data().density_low, claim_data().density_high],
        "allergens": [
            [entry.id, entry.name(language), entry.generic]
            for entry in (allergen_rules.load(rule_set).by_id[key] for key in allergen_rules.load(rule_set).names("en"))
        ],
        "cautions": [_caution(rule, rule_set, language) for rule in of_scope("page")],
        "about": list(amount_words(language)),
        "say": _sentences(rules.spoken, foreign(language)),
        "cited": "" if language.partition("-")[0] == "en" else "en",
        "diets": list(DIETS),
    }


def _rounders(rules: RuleSet) -> dict[str, Any]:
    tags = ("ENERC_kJ", "ENERC_kcal", *(line.tag for line in rules.lines if line.tag))
    return {tag: plain_rounder(rules.rounders[tag]) for tag in dict.fromkeys(tags)}


def _significance(found: Significance | None) -> list[Any] | None:
    return None if found is None else [found.share, found.basis]


def _sentences(spoken: Sentences, lang: str) -> dict[str, Any]:
    """What the script says of claims that hold: `of` one condition, `and` between several, `rows` by their kind;
    `lang` is the language of it where that is not the page's."""
    return {
        "of": spoken["claim.condition"],
        "and": spoken["join.conditions"],
        "decimal": spoken.decimal,
        "lang": lang,
        "rows": {
            Rows.NO_ADDED_SUGARS.value: spoken["rows.no_added_sugars"],
            Rows.NO_ADDED_SALT.value: spoken["rows.no_added_salt"],
            Rows.LIQUID.value: spoken["rows.drink"],
        },
    }


def _claim(claim: ClaimRule) -> dict[str, Any]:
    made: dict[str, Any] = {"name": claim.name, "cases": [_case(case) for case in claim.cases]}
    if claim.shown != claim.name:
        made["shown"] = claim.shown
    if claim.main_dish:
        made["main"] = [_case(case) for case in claim.main_dish]
    if claim.companion is not None:
        made["beside"] = [claim.companion.text, claim.companion.tag]
    if claim.weaker:
        made["weaker"] = list(claim.weaker)
    if claim.each:
        made["each"] = claim.each
    return made


def _case(case: Case) -> list[Any]:
    """[conditions, row conditions]; a condition is [basis, tags, at least, limit, strict, for drinks, said, rule]."""
    return [
        [
            [c.basis.value, list(c.tags), c.at_least, c.limit, c.strict, c.liquid, c.said, c.rule, c.liquid_rule]
            for c in case.conditions
        ],
        [row.value for row in case.rows],
    ]


def _caution(rule: CautionRule, rule_set: str, language: str) -> dict[str, Any]:
    """Conditions as [matchers, over per portion, over per 100 g, whether the page itself is asked too]."""
    numbers = matcher_numbers()
    variant = next((v for v in rule.variants[:-1] if rule_set in v.rule_sets), rule.variants[-1])
    return {
        "id": rule.id,
        "name": name_of(rule.id, language),
        "text": variant.text(language),
        "lang": variant.foreign(language),
        "source": variant.source_in(language),
        "when": [
            [
                [numbers[id(matcher)] for matcher in when.foods],
                list(when.per_portion),
                list(when.per_100g),
                bool(when.keeps or when.fridge_days_above is not None or when.words),
            ]
            for when in rule.when
        ],
    }
