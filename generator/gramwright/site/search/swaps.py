"""Cards -> the index's fourth file: what swaps and optional rows change of the allergens.

Takes cards in the index's order, gives a mapping of packed strings; only recipes
that have something to say are in it. Ids are numbers in `names`, things to say
are numbers in `said`. The browser's half is themes/galley/browser/find-swaps.js.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from gramwright.labelling.allergen_swaps import WHATS
from gramwright.site.cards import Card
from gramwright.site.search.columns import AllergenChoice
from gramwright.site.search.pack import pack_sets, pack_stream, pack_subset


def pack_swaps(cards: Sequence[Card], choices: Sequence[AllergenChoice]) -> dict[str, Any]:
    """The fourth file's content; `choices` give the law's order of the allergens.

    `told` has the recipes that say something, `tells` what; a thing to say is a
    word of `whats` and a set of ids. `frees` has the recipes that some way of
    swapping makes without something, with what stays whatever is chosen, and
    the ways of every row where it matters which is chosen.
    """
    telling = [(place, card.swaps.told) for place, card in enumerate(cards) if card.swaps.told]
    freeing = [(place, card.swaps) for place, card in enumerate(cards) if card.swaps.frees]
    said = sorted({told for _, things in telling for told in things}, key=lambda t: (WHATS.index(t.what), t.allergens))
    number = {told: at for at, told in enumerate(said)}
    rows = [row for _, swaps in freeing for row in swaps.rows]
    ways = [way for row in rows for way in row]
    fixed = [swaps.fixed for _, swaps in freeing]
    named = {name for ids in (*fixed, *ways, *(told.allergens for told in said)) for name in ids}
    order = [choice.id for choice in sorted(choices, key=lambda choice: bool(choice.members))]
    names = [*(name for name in order if name in named), *sorted(named.difference(order))]
    place = {name: at for at, name in enumerate(names)}

    def numbered(ids: Sequence[str]) -> list[int]:
        return [place[name] for name in ids]

    return {
        "names": names,
        "whats": WHATS,
        "said": [pack_stream(WHATS.index(t.what) for t in said), *pack_sets([numbered(t.allergens) for t in said])],
        "told": pack_subset([at for at, _ in telling], len(cards)),
        "tells": pack_sets([[number[told] for told in things] for _, things in telling]),
        "frees": pack_subset([at for at, _ in freeing], len(cards)),
        "fixed": pack_sets([numbered(ids) for ids in fixed]),
        "rows": pack_stream(len(swaps.rows) for _, swaps in freeing),
        "choices": pack_stream(len(row) for row in rows),
        "ways": pack_sets([numbered(way) for way in ways]),
    }
