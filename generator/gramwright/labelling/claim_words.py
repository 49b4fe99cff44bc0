"""Words in a page that amount to a claim ("low-fat"). Takes a page's texts, logs the ones that do not hold.

In the title, the summary and the tags they speak of the dish: an error when the
claim fails or cannot be proven. In the running text they may speak of something
else, so that is a warning - and nothing, when the next word names an ingredient
of the dish ("the low-fat yoghurt").

Wording that speaks of health ("superfood") is a warning: no figures can show it.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from gramwright.labelling.claim_judge import Judge
from gramwright.labelling.claim_notes import note
from gramwright.labelling.rules_model import ClaimRule
from gramwright.labelling.ruleset_reader import folded
from gramwright.labelling.wordbook import WordBook, wordbooks
from gramwright.model import ClaimFinding, RecipePage
from gramwright.problems import Place, Problem, ProblemLog, Severity

_NEXT = re.compile(r"[\s*_-]*(\w+)(?:[\s*_-]+(\w+))?")
"""The next two words of the same phrase."""
_WORD = re.compile(r"\w+")


def check_words(judge: Judge, language: str, log: ProblemLog) -> None:
    """Logs 'claim-in-words' for wording that amounts to a claim which the rule set does not allow here.

    English wording is looked for in every language, beside the language's own.
    Claims that the page asks for are left to the check of claims.
    """
    rules, page = judge.rules, judge.dish.page
    if not rules.claims:
        return
    own = language.partition("-")[0]
    known = wordbooks()
    books = [known[name] for name in dict.fromkeys((own, "en")) if name in known]
    asked = {rules.claim_names.get(folded(name)) for name in page.claims}
    weighed: dict[str, ClaimFinding] = {}
    english: Judge | None = None
    names: set[str] | None = None
    for key, text, telling, what in _texts(page):
        if telling:
            _check_health(books, text, what, Place(page.place.file, _line(page, key)), rules.claims_law, log)
        for start, end, claim_name in _found(books, text, telling):
            claim = rules.claims.get(rules.claim_names.get(folded(claim_name), ""))
            if claim is None or claim.name in asked:
                continue
            if not telling:
                if names is None:
                    names = _ingredient_words(judge).difference(*(book.joining for book in books))
                if _speaks_of_an_ingredient(text, end, names):
                    continue
            english = english or judge.in_english()
            finding = weighed.get(claim.name) or english.find(english.rules.claims[claim.name], asked=True)
            if telling and finding.holds and claim.name not in weighed:
                note(judge, finding, Place(page.place.file, _line(page, key)), log)
            weighed[claim.name] = finding
            if not finding.holds:
                line = _line(page, key) + (0 if telling else text.count("\n", 0, start))
                where = Place(page.place.file, line)
                log.add(_problem(where, telling, what, text[start:end], claim, finding, english.rules.claims_law))


def _check_health(books: Sequence[WordBook], text: str, what: str, place: Place, law: str, log: ProblemLog) -> None:
    for book in books:
        match = None if book.health is None else book.health.search(text)
        if match is not None:
            log.warn(
                place,
                "health-in-words",
                f"expected {what} to say what is in the dish, found '{match[0]}', which speaks of health: {law} ties "
                "that to wording and conditions that no figures of a recipe show",
                "say what is in it, not what it does",
            )
            return


def _found(books: Sequence[WordBook], text: str, telling: bool) -> list[tuple[int, int, str]]:
    """(start, end, claim) of every wording in a text; the language's own counts before the English."""
    if not text:
        return []
    lowered = text.lower()
    found: list[tuple[int, int, str]] = []
    for book in books:
        if book.may_claim(lowered, titles=telling):
            for start, end, claim in book.matches(text, titles=telling):
                if all(end <= first or start >= last for first, last, _ in found):
                    found.append((start, end, claim))
    return sorted(found)


def _texts(page: RecipePage) -> list[tuple[str, str, bool, str]]:
    """(where it stands, text, whether it speaks of the dish, what it is)."""
    return [
        ("title", page.title, True, "the title"),
        ("summary", page.summary, True, "the summary"),
        *[("tags", tag, True, f"the tag '{tag}'") for tag in page.tags],
        ("intro", page.intro, False, "the text"),
        ("method", page.method, False, "the text"),
    ]


def _line(page: RecipePage, key: str) -> int:
    if key == "method":
        return page.method_line
    if key == "intro":
        return page.intro_line or page.place.line
    return page.place_of(key).line


def _ingredient_words(judge: Judge) -> set[str]:
    """Every word of the ingredients' names and rows, and its plain singular."""
    said: set[str] = set()
    for food in judge.foods:
        said.update(_WORD.findall(f"{food.name} {food.group}".lower()))
    for ingredient in judge.dish.ingredients:
        said.update(_WORD.findall(f"{ingredient.name} {ingredient.row.text}".lower()))
    return said | {word.removesuffix("s") for word in said}


def _speaks_of_an_ingredient(text: str, end: int, names: set[str]) -> bool:
    match = _NEXT.match(text, end)
    if match is None:
        return False
    return any(word and word.lower().removesuffix("s") in names for word in match.groups())


def _problem(
    place: Place, telling: bool, what: str, wording: str, claim: ClaimRule, finding: ClaimFinding, law: str
) -> Problem:
    verdict = "does not hold" if finding.holds is False else "cannot be proven"
    return Problem(
        Severity.ERROR if telling else Severity.WARNING,
        "claim-in-words",
        f"expected {what} to claim nothing that {law} does not allow, found '{wording}': "
        f"the claim '{claim.name}' {verdict}: {finding.because}",
        finding.near_miss or "say it without the claim, or change the recipe",
        place,
    )
