"""Cards -> the index's third file: the words that can be searched, sorted, and where each leads.

Takes cards in the index's order and their titles, gives a mapping of packed
strings. A word leads to words of titles, to meals, to tags and to ingredients; an
ingredient has its recipes as a packed list. Titles, meals and tags need no lists
of their own: the browser has them already.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from gramwright.site.cards import Card
from gramwright.site.search.fold import Language, words
from gramwright.site.search.pack import pack_sets, pack_stream, pack_subset
from gramwright.site.search.titles import Titles


def vocabulary(
    cards: Sequence[Card],
    titles: Titles,
    meals: Sequence[str],
    tags: Sequence[str],
    language: Language,
    also: Mapping[str, Sequence[str]],
) -> dict[str, Any]:
    """The third file's content. `also` has further names of an ingredient ('courgette': zucchini)."""
    named = [list(dict.fromkeys(" ".join(name.split()) for name in card.ingredients)) for card in cards]
    names = sorted({name for ingredients in named for name in ingredients})
    in_titles = [words(token) for token in titles.tokens]
    in_meals = [words(meal) for meal in meals]
    in_tags = [words(tag) for tag in tags]
    in_names = [[*words(name), *(word for other in also.get(name, ()) for word in words(other))] for name in names]
    listed = sorted({word for texts in (in_titles, in_meals, in_tags, in_names) for text in texts for word in text})
    place = {word: number for number, word in enumerate(listed)}
    postings = [pack_subset(recipes, len(cards)) for recipes in _recipes_by_name(named, names)]
    return {
        "endings": [list(pair) for pair in language.endings],
        "silent": sorted(language.silent),
        "words": "\n".join(listed),
        "inTitles": _leads(in_titles, place),
        "inMeals": _leads(in_meals, place),
        "inTags": _leads(in_tags, place),
        "inNames": _leads(in_names, place),
        "names": "\n".join(names),
        "lengths": pack_stream(len(posting) for posting in postings),
        "postings": "".join(postings),
    }


def _leads(texts: Iterable[Iterable[str]], place: Mapping[str, int]) -> list[str]:
    """For every word the numbers of the texts that have it."""
    found: list[list[int]] = [[] for _ in place]
    for number, text in enumerate(texts):
        for word in sorted(set(text)):
            found[place[word]].append(number)
    return pack_sets(found)


def _recipes_by_name(named: Sequence[Sequence[str]], names: Sequence[str]) -> list[list[int]]:
    place = {name: number for number, name in enumerate(names)}
    recipes: list[list[int]] = [[] for _ in names]
    for number, ingredients in enumerate(named):
        for name in ingredients:
            recipes[place[name]].append(number)
    return recipes
