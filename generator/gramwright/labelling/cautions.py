"""Cautions by rule. Takes a computed dish with its figures, gives the cautions that its page shows, in order.

The rules are data (content/cautions/, each text with its source and its rule
sets). What the author adds comes after them. What the author silences with a
reason stays in the result with `silenced` set: the reason is published.

    apply(dish, per_portion, per_100g, rules_id, settings, log) -> tuple[Caution, ...]   a recipe page
    general(rules_id, language) -> tuple[Caution, ...]                                   every site, once
    for_day(kcal, rules_id, language) -> tuple[Caution, ...]                             a plan's day
    of_hub(settings, log) -> Settings                                                    hub.yaml, once
    known_ids() -> tuple[str, ...]                                                       what can be silenced
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from functools import cache, lru_cache

from gramwright.labelling.caution_rules import (
    CautionRule,
    Condition,
    Variant,
    condition_numbers,
    matched_by,
    of_scope,
    page_rules,
)
from gramwright.labelling.counted import counted_foods
from gramwright.labelling.sentences import sentences
from gramwright.model import Caution, Dish, Figure, RecipePage, Settings, Tag
from gramwright.problems import Place, ProblemLog, either, near

_ID = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*")
_SWITCHES = ("yes", "no", "true", "false", "on", "off", "none")


def apply(
    dish: Dish,
    per_portion: Mapping[Tag, Figure],
    per_100g: Mapping[Tag, Figure],
    rules_id: str,
    settings: Settings,
    log: ProblemLog,
) -> tuple[Caution, ...]:
    """Takes a dish and its figures per portion and per 100 g (of the finished weight, where that is known).

    Logs errors 'unknown-caution' and 'silenced-without-reason', warning 'silenced-needlessly'.
    """
    page = dish.page
    fitting = frozenset().union(*[matched_by(food) for food, _ in counted_foods(dish.ingredients)])
    reasons = _silenced(page, log)
    asked = _asked(page, settings, log)
    shown: list[Caution] = []
    for number, (rule, needs) in enumerate(page_rules()):
        if rule.id not in asked and (
            (needs and needs.isdisjoint(fitting)) or not _applies(rule, page, fitting, per_portion, per_100g)
        ):
            continue
        caution = _worded(number, rules_id, settings.language)
        reason = reasons.pop(rule.id, "")
        if reason or "{" in caution.text:
            text = _filled(caution.text, page, per_portion, per_100g, settings.language)
            caution = Caution(rule.id, text, caution.source, reason, caution.lang)
        shown.append(caution)
    places = {statement.name: statement.place for statement in page.silenced}
    for name in reasons:
        log.warn(
            places[name],
            "silenced-needlessly",
            f"'{name}' is silenced, but this page would not show it",
            "take the line out, so that the caution can come back if the recipe changes",
        )
    return (*shown, *_authors(page, settings, asked))


def general(rules_id: str, language: str = "en") -> tuple[Caution, ...]:
    """What every site says once: estimates, no medical advice, allergens as recorded."""
    return tuple(
        Caution(rule.id, variant.text(language), variant.source_in(language), lang=variant.foreign(language))
        for rule in of_scope("site")
        for variant in (_variant(rule, rules_id),)
    )


def for_day(kcal: float, rules_id: str, language: str = "en") -> tuple[Caution, ...]:
    """Takes a planned day's energy in kcal, gives the cautions for very low days."""
    found: list[Caution] = []
    for rule in of_scope("day"):
        for condition in rule.when:
            if _within(kcal, condition):
                variant = _variant(rule, rules_id)
                text = variant.text(language).replace("{kcal}", _number(kcal, 0, language))
                found.append(Caution(rule.id, text, variant.source_in(language), lang=variant.foreign(language)))
                break
    return tuple(found)


@cache
def known_ids() -> tuple[str, ...]:
    """Ids of the cautions that a page can show, in their order."""
    return tuple(rule.id for rule in of_scope("page"))


# ---------------------------------------------------------------- when


def _applies(
    rule: CautionRule,
    page: RecipePage,
    fitting: frozenset[int],
    per_portion: Mapping[Tag, Figure],
    per_100g: Mapping[Tag, Figure],
) -> bool:
    return not rule.when or any(_holds(each, page, fitting, per_portion, per_100g) for each in rule.when)


def _holds(
    condition: Condition,
    page: RecipePage,
    fitting: frozenset[int],
    per_portion: Mapping[Tag, Figure],
    per_100g: Mapping[Tag, Figure],
) -> bool:
    needs = condition_numbers()[id(condition)]
    if needs and needs.isdisjoint(fitting):
        return False
    for limits, figures in ((condition.per_portion, per_portion), (condition.per_100g, per_100g)):
        for tag, limit in limits:
            if tag not in figures or figures[tag].amount <= limit:
                return False
    fridge, freezer = page.keeps.fridge_days, page.keeps.freezer_days
    kept = {"": True, "fridge": fridge is not None, "freezer": freezer is not None}
    if not kept.get(condition.keeps, fridge is not None or freezer is not None):
        return False
    if condition.fridge_days_above is not None and (fridge is None or fridge <= condition.fridge_days_above):
        return False
    if condition.words is None:
        return True
    text = " | ".join((page.title, page.summary, *page.tags, *page.claims)).casefold()
    return condition.words.search(text) is not None


def _within(kcal: float, condition: Condition) -> bool:
    above, to, below = condition.kcal_above, condition.kcal_to, condition.kcal_below
    return (above is None or kcal > above) and (to is None or kcal <= to) and (below is None or kcal < below)


def _variant(rule: CautionRule, rules_id: str) -> Variant:
    """The first variant that speaks under the rule set; the last one always does (a test holds the data to that)."""
    for variant in rule.variants[:-1]:
        if rules_id in variant.rule_sets:
            return variant
    return rule.variants[-1]


@lru_cache(maxsize=1024)
def _worded(number: int, rules_id: str, language: str) -> Caution:
    """The caution of a page rule (by its place in `page_rules`) with its slots not yet filled."""
    rule, _ = page_rules()[number]
    variant = _variant(rule, rules_id)
    return Caution(rule.id, variant.text(language), variant.source_in(language), lang=variant.foreign(language))


# ---------------------------------------------------------------- texts


def _filled(
    text: str,
    page: RecipePage,
    per_portion: Mapping[Tag, Figure],
    per_100g: Mapping[Tag, Figure],
    language: str,
) -> str:
    """A caution's text with its slots filled."""
    if "{" not in text:
        return text
    figures = {tag: per_portion[tag] for tag in ("ALC_g", "CAFFN_mg") if tag in per_portion}
    figures |= {tag: per_100g[tag] for tag in ("POLYL_g",) if tag in per_100g}
    values = {tag: _amount(figure, language) for tag, figure in figures.items()}
    days = page.keeps.fridge_days
    if days is not None:
        values["fridge_days"] = days_said(days, language)
    return re.sub(r"\{(\w+)\}", lambda found: values.get(found[1], "?"), text)


def _amount(figure: Figure, language: str) -> str:
    """'about 3.2'; 'at least 3.2' where some food's amount is not known, however little is; else 'less than 0.1'."""
    spoken = sentences(language)
    if 0 <= figure.amount < 0.1:
        if figure.coverage < 1:
            least = f"{figure.amount:.2f}".rstrip("0").rstrip(".")
            return spoken.say("amount.at_least", n=spoken.number(least))
        return spoken.say("amount.less_than", n=_number(0.1, 1, language))
    key = "amount.about" if figure.coverage >= 1 else "amount.at_least"
    return spoken.say(key, n=_number(figure.amount, 1, language))


def days_said(days: float, language: str) -> str:
    """'2 days'."""
    return sentences(language).counted("days", days, n=_number(days, 1, language))


def amount_words(language: str) -> tuple[str, str, str, str]:
    """'about {n}', 'at least {n}', 'less than {n}', and the decimal sign of n."""
    spoken = sentences(language)
    return spoken["amount.about"], spoken["amount.at_least"], spoken["amount.less_than"], spoken.decimal


def name_of(caution: str, language: str) -> str:
    """The name of a shipped caution by its id, for the note that it is silenced."""
    return sentences(language).cautions.get(caution) or caution.replace("-", " ")


def _number(amount: float, places: int, language: str) -> str:
    text = f"{amount:.{places}f}"
    if places and text.endswith("0"):
        text = text[: -places - 1]
    return sentences(language).number(text)


# ---------------------------------------------------------------- the author's


def _silenced(page: RecipePage, log: ProblemLog) -> dict[str, str]:
    """Caution id -> reason, for those that can be silenced and have one."""
    reasons: dict[str, str] = {}
    for statement in page.silenced:
        if statement.name not in known_ids():
            _unknown(statement.name, statement.place, log)
        elif not statement.reason.strip():
            log.error(
                statement.place,
                "silenced-without-reason",
                f"expected a reason for silencing '{statement.name}', found none",
                "write why it does not apply; the reason is published in the caution's place",
            )
        else:
            reasons[statement.name] = statement.reason.strip()
    return reasons


def of_hub(settings: Settings, log: ProblemLog) -> Settings:
    """The settings, ids of shipped cautions told from sentences. What else is written like an id is logged."""
    places = settings.caution_places or (settings.place,) * len(settings.cautions)
    for text, place in zip(settings.cautions, places, strict=True):
        if text.lower() in _SWITCHES:
            log.error(
                place,
                "unknown-caution",
                f"expected cautions, found '{text}'",
                "every caution that applies is shown without being asked for; a page can silence one with a reason",
            )
        elif _ID.fullmatch(text) and text not in known_ids():
            _unknown(text, place, log)
    asked = tuple(text for text in settings.cautions if text in known_ids())
    if not asked:
        return settings
    own = tuple(text for text in settings.cautions if text not in asked)
    return replace(settings, cautions=own, caution_places=(), cautions_asked=asked)


def _asked(page: RecipePage, settings: Settings, log: ProblemLog) -> frozenset[str]:
    """Shipped cautions that the page or the hub asks for by id; else what a page writes like an id is a problem."""
    asked: set[str] = set(settings.cautions_asked)
    for text in page.cautions:
        if text in known_ids():
            asked.add(text)
        elif _ID.fullmatch(text):
            _unknown(text, page.place_of("cautions"), log)
    return frozenset(asked)


def _unknown(name: str, place: Place, log: ProblemLog) -> None:
    close = near(name, known_ids())
    log.error(
        place,
        "unknown-caution",
        f"expected the name of a caution, found '{name}'",
        f"did you mean {either(close)}?" if close else f"known are: {', '.join(known_ids())}",
    )


def _authors(page: RecipePage, settings: Settings, asked: frozenset[str]) -> tuple[Caution, ...]:
    """The author's own sentences: the page's, then the hub's."""
    own = [text for text in page.cautions if text not in asked and not _ID.fullmatch(text)]
    source = settings.author or settings.title
    return tuple(
        Caution(f"author-{number}", text, source)
        for number, text in enumerate(dict.fromkeys((*own, *settings.cautions)), start=1)
    )
