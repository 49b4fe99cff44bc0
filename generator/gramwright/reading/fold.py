"""Takes a name as people write it, gives the key under which it is looked up. Only writing is folded, no guess made."""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache

_LETTERS = str.maketrans({"ø": "o", "æ": "ae", "œ": "oe", "ł": "l", "đ": "d", "ð": "d", "þ": "th", "ı": "i", "µ": "u"})
_APOSTROPHES = str.maketrans("", "", "'’‘ʼ`´")
_DECIMAL = re.compile(r"(?<=\d),(?=\d)")
_BREAK = re.compile(r"(?:[^\w%.]|_|(?<!\d)\.|\.(?!\d))+")
_PLAIN = re.compile(r"[a-z ,;:()/-]*")
_SPACES = str.maketrans(dict.fromkeys(",;:()/-", " "))
"""The punctuation of nearly all names: a short way to the same key."""
_IRREGULAR = {
    "leaves": "leaf",
    "loaves": "loaf",
    "halves": "half",
    "calves": "calf",
    "knives": "knife",
    "geese": "goose",
}


@lru_cache(maxsize=65536)
def fold(name: str) -> str:
    """The look-up key of a name.

    Folded: case, accents, apostrophes, hyphens, commas and other punctuation
    (to one space), decimal commas, '&', and the plain plural of every word.
    Word order is kept. Both sides of a look-up are folded, so that a plural may
    stand on either; folding a key again changes nothing.
    """
    text = name.casefold()
    if _PLAIN.fullmatch(text):
        return " ".join([_singular(word) for word in text.translate(_SPACES).split()])
    if not text.isascii():
        text = unicodedata.normalize("NFKD", text)
        text = "".join(c for c in text if not unicodedata.combining(c)).casefold().translate(_LETTERS)
    text = _DECIMAL.sub(".", text.translate(_APOSTROPHES)).replace("&", " and ").replace("%", "% ")
    key = " ".join([_singular(word) for word in _BREAK.sub(" ", text).split()])
    return key.replace(" %", "%")


@lru_cache(maxsize=16384)
def slug(text: str) -> str:
    """A name as an id: small ASCII letters, digits and single hyphens; '' when nothing of it is left."""
    plain = unicodedata.normalize("NFKD", text.casefold().translate(_LETTERS))
    return "-".join(re.findall(r"[a-z0-9]+", "".join(c for c in plain if not unicodedata.combining(c))))


def _singular(word: str) -> str:
    """One word without its plain plural ending, the same for singular and plural.

    Where a plural in -es could come from either of two singulars (peach, quiche),
    both lose the e: the key is not shown to anybody.
    """
    if len(word) < 4 or not word.isalpha():
        return word
    word = _IRREGULAR.get(word, word)
    if word[-1] == "s" and word[-2] not in "su":
        word = word[:-1]
    if word[-1] == "e" and len(word) > 3:
        if word[-2] == "i":
            return word[:-2] + "y"
        if word[-2] in "oxz" or word[-3:-1] in ("ch", "sh", "ss"):
            return word[:-1]
    return word
