"""Every page kind from invented records, once a run: the ordinary ones and hostile ones."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

from tests.site import sample

from gramwright.labelling import rulesets
from gramwright.model import Dish, Settings
from gramwright.problems import ProblemLog
from gramwright.site import feeds
from gramwright.site.cards import card
from gramwright.site.pages import corrections, food, foods, home, labels, listing, method, missing, recipe
from gramwright.site.theme import Theme

HOSTILE = """</script><script>alert('x')</script><!-- "quoted" & 'single' {{ 7*7 }} ]]>"""
CORRECTION = corrections.Correction(
    "2026-04-02", "olive-oil", "Olive oil", "FASAT_g", "14.3", "13.8", "A digit had slipped."
)


def pages(settings: Settings, dish: Dish) -> dict[str, bytes]:
    """Path -> bytes of a whole small site around one dish."""
    theme = Theme(settings)
    label = sample.label(dish)
    log = ProblemLog()
    made = recipe.render(theme, dish, label, known=lambda slug: slug == dish.page.slug, log=log)
    made.update(labels.render(theme, dish, label))
    cards = [card(dish, label), *sample.cards()[1:]]
    every = [i.food for i in dish.ingredients if i.food is not None]
    every += [s.food for i in dish.ingredients for s in i.swaps if s.food is not None]
    every.append(sample.ODDITY)
    for each in every:
        uses = [(c, use) for c in cards for use in c.uses if use.food == each.id]
        made.update(food.render(theme, each, uses))
    made.update(foods.render(theme, every, cards))
    made.update(home.render(theme, cards))
    made.update(listing.render(theme, cards))
    made.update(method.render(theme, rulesets.load("eu"), every))
    made.update(corrections.render(theme, [CORRECTION, replace(CORRECTION, food_name=HOSTILE, has_page=False)]))
    made.update(missing.render(theme))
    made.update(theme.asset_files())
    made.update(feeds.files(theme, cards, list(made)))
    return made


@cache
def plain_site() -> dict[str, bytes]:
    return pages(sample.SETTINGS, sample.dish())


@cache
def hostile_site() -> dict[str, bytes]:
    """Every text that an author or a table can give is an attempt to break out."""
    settings = replace(sample.SETTINGS, title=HOSTILE, author=HOSTILE, description=HOSTILE, cautions=(HOSTILE,))
    dish = sample.dish(
        title=HOSTILE,
        summary=HOSTILE,
        intro=HOSTILE,
        method=f"1. {HOSTILE}\n",
        meals=(HOSTILE,),
        tags=(HOSTILE,),
        cautions=(HOSTILE,),
    )
    rows = []
    for i in dish.ingredients:
        assert i.food is not None
        bad = replace(
            i.food, name=HOSTILE, aliases=(HOSTILE,), source=HOSTILE, source_ref=HOSTILE, group=HOSTILE, state=HOSTILE
        )
        row = replace(i.row, part=HOSTILE, note=HOSTILE, words=HOSTILE, text=HOSTILE)
        rows.append(replace(i, food=bad, row=row))
    return pages(settings, replace(dish, ingredients=tuple(rows)))
