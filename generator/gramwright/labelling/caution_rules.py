"""The shipped cautions as records. Takes content/cautions/*.yaml, gives CautionRules; read once per process.

The grammar stands at the head of content/cautions/foods.yaml. Matching a food
takes its words, kinds, group and state; answers are kept per food.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from enum import StrEnum
from functools import cache, lru_cache
from typing import Any, NamedTuple

from gramwright.labelling.by_food import ByFood
from gramwright.labelling.sentences import sentences
from gramwright.labelling.shipped_data import in_language, read_yaml
from gramwright.model import Food
from gramwright.resources import content


class Matcher(NamedTuple):
    """Which foods a condition means: everything that is given must fit."""

    words: re.Pattern[str] | None
    without: re.Pattern[str] | None
    kinds: frozenset[str]
    groups: frozenset[str]
    states: frozenset[str]
    knows: str
    lacks: str
    """Tags that the food's table line must have, or must not have; or ''."""

    def fits(self, text: str, kinds: frozenset[str], group: str, state: str, known: frozenset[str]) -> bool:
        if self.kinds and not self.kinds & kinds:
            return False
        if self.groups and group not in self.groups:
            return False
        if self.states and state not in self.states:
            return False
        if (self.knows and self.knows not in known) or self.lacks in known:
            return False
        if self.words is not None and not self.words.search(text):
            return False
        return self.without is None or not self.without.search(text)


class Condition(NamedTuple):
    """One way for a caution to apply: everything that is given must hold."""

    foods: tuple[Matcher, ...] = ()
    per_portion: tuple[tuple[str, float], ...] = ()
    per_100g: tuple[tuple[str, float], ...] = ()
    keeps: str = ""
    """'fridge', 'freezer', 'any' or ''."""
    fridge_days_above: float | None = None
    words: re.Pattern[str] | None = None
    """What the page's title, summary, tags and claims, joined by ' | ' and casefolded, must be found by."""
    kcal_above: float | None = None
    kcal_to: float | None = None
    kcal_below: float | None = None


class Variant(NamedTuple):
    rule_sets: frozenset[str]
    """Empty: any."""
    texts: Mapping[str, str]
    cited: str
    beside: str
    """How the source was checked, where it was not read itself and does not say so; ''."""

    @property
    def source(self) -> str:
        return self.source_in("en")

    def text(self, language: str) -> str:
        return in_language(self.texts, language)

    def foreign(self, language: str) -> str:
        """The language of `text`, where it is not the one that is asked for; '' where it is."""
        return "" if language in self.texts or language.partition("-")[0] in self.texts else "en"

    def source_in(self, language: str) -> str:
        """The source, with how it was checked where it was not read itself."""
        spoken = sentences(language)
        cited = spoken.of(self.cited)
        return f"{cited} ({spoken[f'beside.{self.beside}']})" if self.beside else cited


class Concern(StrEnum):
    """What a caution of a page is about, the gravest first."""

    ILLNESS = "illness"
    """What goes in can make anybody ill as it is."""
    PEOPLE = "people"
    """Some people are to leave it, or much of it, out."""
    KEEPING = "keeping"
    """How the finished dish is kept and warmed up."""


_GRAVEST = {concern: place for place, concern in enumerate(Concern)}


class CautionRule(NamedTuple):
    id: str
    scope: str
    """'page', 'site' or 'day'."""
    concern: Concern | None
    """None: of a site or a day."""
    when: tuple[Condition, ...]
    """One of these; empty: always."""
    variants: tuple[Variant, ...]


@cache
def caution_rules() -> tuple[CautionRule, ...]:
    """Every shipped caution: a page's by their concern, the gravest first; then by file name, in the file's order."""
    files = sorted(path.name for path in (content() / "cautions").glob("*.yaml"))
    found = [_rule(entry) for name in files for entry in read_yaml(f"cautions/{name}")["cautions"]]
    return tuple(sorted(found, key=lambda rule: _GRAVEST[rule.concern] if rule.concern else len(_GRAVEST)))


@cache
def of_scope(scope: str) -> tuple[CautionRule, ...]:
    return tuple(rule for rule in caution_rules() if rule.scope == scope)


def _matchers_of(food: Food) -> frozenset[int]:
    """Numbers of the matchers that the food fits (see `matcher_numbers`)."""
    known = frozenset(tag for tag in _asked_tags() if tag in food.values)
    return _matched(food.id, food.name, food.aliases, food.kinds, food.group, food.state, known)


matched_by = ByFood(_matchers_of)


@cache
def condition_numbers() -> Mapping[int, frozenset[int]]:
    """id() of each shipped condition -> the numbers of its matchers, of which one must fit; empty: any food will do."""
    numbers = matcher_numbers()
    return {
        id(condition): frozenset(numbers[id(matcher)] for matcher in condition.foods)
        for rule in caution_rules()
        for condition in rule.when
    }


@cache
def page_rules() -> tuple[tuple[CautionRule, frozenset[int]], ...]:
    """The rules for pages, each with the matchers of which one must fit for it to apply; empty: it may apply anyway."""
    numbers = condition_numbers()
    found = []
    for rule in of_scope("page"):
        each = [numbers[id(condition)] for condition in rule.when]
        found.append((rule, frozenset().union(*each) if each and all(each) else frozenset()))
    return tuple(found)


@cache
def matcher_numbers() -> Mapping[int, int]:
    """id() of each shipped matcher -> its number; matchers live as long as the process."""
    return {id(matcher): number for number, matcher in enumerate(_matchers())}


@cache
def _matchers() -> tuple[Matcher, ...]:
    return tuple(matcher for rule in caution_rules() for condition in rule.when for matcher in condition.foods)


@cache
def limited_tags() -> tuple[str, ...]:
    """Components that cautions of pages have limits for."""
    limits = (limit for rule in of_scope("page") for when in rule.when for limit in (*when.per_portion, *when.per_100g))
    return tuple(sorted({tag for tag, _ in limits}))


@cache
def _asked_tags() -> tuple[str, ...]:
    return tuple(sorted({tag for matcher in _matchers() for tag in (matcher.knows, matcher.lacks) if tag}))


@lru_cache(maxsize=8192)
def _matched(
    food_id: str,
    name: str,
    aliases: tuple[str, ...],
    kinds: frozenset[str],
    group: str,
    state: str,
    known: frozenset[str],
) -> frozenset[int]:
    text = " | ".join((food_id.replace("-", " "), name, *aliases)).casefold()
    return frozenset(
        number
        for number, matcher in enumerate(_matchers())
        if matcher.fits(text, kinds, group.casefold(), state.casefold(), known)
    )


def _rule(entry: Mapping[str, Any]) -> CautionRule:
    when = entry.get("when", ())
    conditions = (when,) if isinstance(when, Mapping) else tuple(when)
    scope = str(entry.get("scope", "page"))
    return CautionRule(
        id=str(entry["id"]),
        scope=scope,
        concern=Concern(entry["concern"]) if scope == "page" else None,
        when=tuple(_condition(each) for each in conditions),
        variants=tuple(_variant(each) for each in entry["variants"]),
    )


def _condition(entry: Mapping[str, Any]) -> Condition:
    above = entry.get("above", {})
    return Condition(
        foods=tuple(_matcher(each) for each in entry.get("foods", ())),
        per_portion=tuple((tag, float(limit)) for tag, limit in above.get("per_portion", {}).items()),
        per_100g=tuple((tag, float(limit)) for tag, limit in above.get("per_100g", {}).items()),
        keeps=str(entry.get("keeps", "")),
        fridge_days_above=entry.get("fridge_days_above"),
        words=_page_words(entry.get("words", ()), entry.get("not_titled", ()), entry.get("not_tagged", ())),
        kcal_above=entry.get("kcal_above"),
        kcal_to=entry.get("kcal_to"),
        kcal_below=entry.get("kcal_below"),
    )


def _matcher(entry: Mapping[str, Any]) -> Matcher:
    return Matcher(
        words=_any_of(entry.get("words", ())),
        without=_any_of(entry.get("without", ())),
        kinds=frozenset(entry.get("kinds", ())),
        groups=frozenset(str(each).casefold() for each in entry.get("groups", ())),
        states=frozenset(str(each).casefold() for each in entry.get("states", ())),
        knows=str(entry.get("knows", "")),
        lacks=str(entry.get("lacks", "")),
    )


def _variant(entry: Mapping[str, Any]) -> Variant:
    source, checked = str(entry["source"]), str(entry["checked"])
    return Variant(
        rule_sets=frozenset(entry.get("rule_sets", ())),
        texts={key: str(value) for key, value in entry.items() if len(key) == 2},
        cited=source,
        beside="" if checked == "read" or checked in source else checked,
    )


def _page_words(words: Sequence[str], not_titled: Sequence[str], not_tagged: Sequence[str]) -> re.Pattern[str] | None:
    """Finds a page's joined texts that have one of the words, no such word in the title, which comes first, and no
    such tag, which stands alone between bars."""
    wanted, titled = _any_of(words), _any_of(not_titled)
    if titled is None and not not_tagged:
        return wanted
    tags = "|".join(re.escape(tag.casefold()) for tag in not_tagged)
    parts = [
        rf"(?![^|]*{titled.pattern})" if titled is not None else "",
        rf"(?!.*\| (?:{tags})(?: \||\Z))" if tags else "",
        rf"(?=.*{wanted.pattern})" if wanted is not None else "",
    ]
    return re.compile(r"\A" + "".join(parts), re.DOTALL)


def _any_of(words: Sequence[str]) -> re.Pattern[str] | None:
    """Matches any of the words as whole words, in casefolded text; hyphens and spaces are the same."""
    if not words:
        return None
    parts = sorted({re.sub(r"[\s-]+", " ", word.casefold()) for word in words}, key=lambda word: (-len(word), word))
    pattern = "|".join(re.escape(part).replace(r"\ ", r"[\s-]+") for part in parts)
    return re.compile(rf"(?<!\w)(?:{pattern})(?!\w)")
