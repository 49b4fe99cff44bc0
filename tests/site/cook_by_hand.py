"""A reader's choice by the generator's own rooms: the variant's dish and label in the words of the page."""

from __future__ import annotations

import itertools
import json
import random
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from tests.site.node_asked import NodeAsked

from gramwright.labelling.cautions import name_of
from gramwright.labelling.label import label
from gramwright.labelling.rules_model import RuleSet
from gramwright.model import Caution, Dish, Label, Settings
from gramwright.nutrition.variants import options, variant
from gramwright.problems import ProblemLog
from gramwright.publishing.kitchen import Kitchen
from gramwright.resources import themes
from gramwright.site import allergen_view, declaration_view, panel_view
from gramwright.site.cook import rules as cook_rules
from gramwright.site.cook.bench import Bench
from gramwright.site.pages import recipe
from gramwright.site.words import Words

BROWSER = themes() / "galley" / "browser"
SCRIPTS = [BROWSER / f"cook-{name}.js" for name in ("say", "amounts", "sums", "label", "panel")]


class Script(NodeAsked):
    """The page's code over one recipe after another."""

    def __init__(self) -> None:
        super().__init__("cook_runner.cjs", SCRIPTS)


class Table:
    """One rule set's generator: the bench for pages, and labels for choices."""

    def __init__(self, kitchen: Kitchen, rules: RuleSet, words: Words, energy: str = "factors") -> None:
        self.kitchen = kitchen
        self.rules = rules
        self.words = words
        self.settings: Settings = replace(kitchen.settings, rule_set=rules.id, energy=energy, language=words.language)
        self.bench = Bench(rules, kitchen.books, self.settings, kitchen.today)

    def shared(self) -> dict[str, Any]:
        """What both shared scripts hold."""
        scripts = cook_rules.rules_script(self.settings), cook_rules.words_script(self.settings, self.words)
        rules, words = (json.loads(body.decode().partition(" = ")[2].rstrip(";\n")) for body in scripts)
        return {"rules": rules, "words": words}

    def labelled(self, dish: Dish) -> Label:
        kitchen = self.kitchen
        log = ProblemLog()
        return label(dish, self.rules, kitchen.books, self.settings, kitchen.vocabulary, log, kitchen.today)

    def carried(self, dish: Dish) -> Any:
        return json.loads(self.bench.carry(dish, self.labelled(dish), self.words).data)

    def _caution(self, caution: Caution) -> str:
        if not caution.silenced:
            return caution.text
        name = name_of(caution.id, self.settings.language)
        return self.words("recipe.silenced", name=name, reason=caution.silenced)

    def by_hand(self, dish: Dish, choice: dict[int, int]) -> tuple[dict[str, Any], Label]:
        """What the page's code must answer for a choice."""
        chosen = variant(dish, choice, self.kitchen.books)
        found = self.labelled(chosen)
        panel = panel_view.view(chosen, found, self.words, "../../")
        allergens = allergen_view.view(found.allergens, self.words)
        authors = "author-"
        return {
            "by": found.energy_by,
            "lines": [
                {"key": line.key, "level": line.level, "per100": line.per_100g, "portion": line.per_portion}
                | {"share": line.share, "least": line.at_least}
                for line in found.lines
            ],
            "contains": [(line.word, line.foods) for line in allergens.contains],
            "may_contain": [(line.word, line.foods) for line in allergens.may_contain],
            "unknown": sorted(allergens.unknown),
            "unknown_foods": allergens.unknown_foods,
            "excepted": list(allergens.excepted),
            "diets": [[diet, answer] for diet, answer in found.suits.items()],
            "claims": [
                {
                    "name": ", ".join(filter(None, (claim.shown, claim.companion))),
                    "text": self.words.joined(claim.because),
                }
                for claim in found.claims
                if claim.holds
            ],
            "cautions": [
                {
                    "id": caution.id,
                    "text": self._caution(caution),
                    "lang": "" if caution.silenced else caution.lang,
                    "source": caution.source,
                }
                for caution in found.cautions
                if not caution.id.startswith(authors)
            ],
            "panel": _panel(panel),
            "doubts": list(recipe._uncertain(chosen, found, self.words)),
            "coverage": declaration_view.coverage(found, found.lines, self.words),
            "to_taste": declaration_view.to_taste(found, found.lines, self.words),
        }, found


def _panel(panel: panel_view.PanelView) -> dict[str, Any]:
    if not panel.known:
        return {"known": False, "portion": panel.portion}

    def cuts(pieces: tuple[panel_view.PieceView, ...], *, links: bool) -> list[dict[str, Any]]:
        made = [
            {"x": p.x, "width": p.width, "grams": p.grams, "share": p.share, "fill": p.fill, "name": p.name}
            for p in pieces
        ]
        return [cut | ({"href": p.href} if links else {}) for cut, p in zip(made, pieces, strict=True)]

    return {
        "known": True,
        "energy": panel.energy,
        "least": panel.at_least,
        "kj": panel.energy_kj,
        "portion": panel.portion,
        "likely": panel.likely,
        "described": panel.described,
        "bracket": panel.bracket,
        "ticks": panel.ticks,
        "titles": [panel.what, panel.where, panel.of_what],
        "numbers": [{"x": number.x, "text": number.text} for number in panel.numbers],
        "what": cuts(panel.pieces, links=False),
        "where": cuts(panel.strip, links=True),
    }


def as_page(answer: dict[str, Any]) -> dict[str, Any]:
    """The script's answer in the shape of `Table.by_hand`."""
    allergens = answer["allergens"]
    return {
        "by": answer["by"],
        "lines": [
            {key: each for key, each in line.items() if key not in ("coverage", "taste")} for line in answer["lines"]
        ],
        "coverage": answer["atLeast"]["least"],
        "to_taste": answer["atLeast"]["taste"],
        "contains": [(line["word"], line["foods"]) for line in allergens["contains"]],
        "may_contain": [(line["word"], line["foods"]) for line in allergens["may_contain"]],
        "unknown": sorted(line["word"] for line in allergens["unknown"]),
        "unknown_foods": ", ".join(allergens["unknownFoods"]),
        "excepted": allergens["excepted"],
        "diets": answer["diets"],
        "claims": answer["claims"],
        "cautions": answer["cautions"],
        "panel": answer["panel"],
        "doubts": answer["doubts"],
    }


def every_choice(dish: Dish, most: int, dice: random.Random) -> Iterator[dict[int, int]]:
    """All choices of a dish, or `most` of them by chance."""
    picks = {at: options(item) for at, item in enumerate(dish.ingredients) if len(options(item)) > 1}
    count = 1
    for each in picks.values():
        count *= len(each)
    if count <= most:
        for way in itertools.product(*picks.values()):
            yield dict(zip(picks, way, strict=True))
    else:
        for _ in range(most):
            yield {at: dice.choice(each) for at, each in picks.items()}
