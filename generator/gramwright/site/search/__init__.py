"""The find page's index. Takes the cards of a hub, gives the data files of `search/` and their names.

    build(cards, allergens, language_code=..., also=...) -> dict[str, bytes]   path inside the site -> bytes
    names(files) -> SearchFiles                                                which file is which
    offered(rule_set, language) -> tuple[AllergenChoice, ...]                  what a reader can leave out

Five kinds of files, each a script that hands packed strings to the page (a
page opened from disk may load scripts, and nothing else):

    columns    every figure and choice that filters need           loaded with the page
    titles     titles and addresses                                loaded with the page
    words      vocabulary and ingredient lists                     loaded when words are first used
    swaps      what swaps and optional rows change of allergens    loaded when the page has time, or when it is needed
    lines-N    summaries of 256 recipes                            loaded when one of them is on the screen

Recipes are in the order of their titles. Names carry a hash of the content.
The browser's half is themes/galley/browser/find-*.js.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from typing import NamedTuple

from gramwright.labelling import allergen_rules
from gramwright.site.cards import Card
from gramwright.site.search.columns import AllergenChoice, columns, key, keys
from gramwright.site.search.fold import fold, language
from gramwright.site.search.swaps import pack_swaps
from gramwright.site.search.titles import pack_titles, read_titles
from gramwright.site.search.vocabulary import vocabulary

__all__ = ["FOLDER", "AllergenChoice", "SearchFiles", "build", "in_order", "key", "keys", "names", "offered"]

FOLDER = "search"
LINES = 256
"""Summaries a file."""
_HASH_LENGTH = 10


class SearchFiles(NamedTuple):
    """Paths inside the site of the files that the find page itself names."""

    columns: str
    titles: str
    words: str
    swaps: str


def offered(rule_set: str, language_code: str) -> tuple[AllergenChoice, ...]:
    """Takes a rule set's id, gives the allergens that it lists, in its order.

    A class ("nuts") comes before its first member. It is answered as a whole
    by Card.groups as well, so that it also counts what the rule set does not
    list (rye, where the law lists wheat alone). Its name is its generic id,
    for the theme to put into words. Raises Trouble 'unknown-rule-set'.
    """
    rules = allergen_rules.load(rule_set)
    short = language_code.split("-")[0].lower()
    groups = allergen_rules.vocabulary()
    choices: list[AllergenChoice] = []
    begun: set[str] = set()
    for entry in rules.listed:
        for generic, group in groups.generic.items():
            members = tuple(e.id for e in rules.listed if e.covers & groups.members[group])
            if entry.id in members and generic not in begun:
                begun.add(generic)
                choices.append(AllergenChoice(generic, generic, members, group))
        choices.append(AllergenChoice(entry.id, entry.name(short)))
    return tuple(choices)


def in_order(cards: Sequence[Card]) -> list[Card]:
    """The index's order: by title as a reader would look it up, then by slug."""
    return sorted(cards, key=lambda card: (fold(card.title), card.title, card.slug))


def build(
    cards: Sequence[Card],
    allergens: Sequence[AllergenChoice] = (),
    *,
    language_code: str = "en",
    also: Mapping[str, Sequence[str]] | None = None,
) -> dict[str, bytes]:
    """Takes the cards of a hub, gives path -> bytes of every data file.

    `allergens` are the choices offered, in the law's order; an allergen that a
    card names is kept even when it is no choice. `also` has further names of
    an ingredient by its shown name. The order of `cards` does not matter.
    """
    ordered = in_order(cards)
    titles = read_titles(ordered)
    first = columns(ordered, allergens)
    meals, tags = first["meals"]["names"], first["tags"]["names"]
    third = vocabulary(ordered, titles, meals, tags, language(language_code), also or {})
    lines = _lines(ordered)
    second = pack_titles(titles, ordered) | {"lines": list(lines)}
    files = {_path("columns", data): data for data in [_script(".columns", first)]}
    files |= {_path("titles", data): data for data in [_script(".titles", second)]}
    files |= {_path("words", data): data for data in [_script(".words", third)]}
    files |= {_path("swaps", data): data for data in [_script(".swaps", pack_swaps(ordered, allergens))]}
    return files | {f"{FOLDER}/{name}": data for name, data in lines.items()}


def names(files: Mapping[str, bytes]) -> SearchFiles:
    """Takes what `build` gave, gives which file is which."""
    found = {path.removeprefix(f"{FOLDER}/").partition(".")[0]: path for path in files}
    return SearchFiles(found["columns"], found["titles"], found["words"], found["swaps"])


def _lines(cards: Sequence[Card]) -> dict[str, bytes]:
    """File name -> bytes of the summaries, block by block; line breaks inside a summary become spaces."""
    files = {}
    for block, start in enumerate(range(0, len(cards), LINES)):
        text = "\n".join(" ".join(card.summary.split()) for card in cards[start : start + LINES])
        data = _script(f".lines[{block}]", text)
        files[_path(f"lines-{block}", data).removeprefix(f"{FOLDER}/")] = data
    return files


def _script(member: str, content: object) -> bytes:
    text = json.dumps(content, ensure_ascii=False, separators=(",", ":"))
    if member.startswith(".lines"):
        return f"GramwrightFind{member}={text};\n".encode()
    return f"(globalThis.GramwrightFind??={{}}){member}={text};\n".encode()


def _path(stem: str, data: bytes) -> str:
    return f"{FOLDER}/{stem}.{hashlib.sha256(data).hexdigest()[:_HASH_LENGTH]}.js"
