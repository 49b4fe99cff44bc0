"""What this room says to readers, by language. Takes content/labelling/sentences/<language>.yaml, gives texts.

The grammar is at the head of en.yaml there. Read once per process and language;
English stands in for what a language leaves out.

    sentences(language) -> Sentences     'de', 'de-AT' (then 'de'); a language without a file: English
    foreign(language) -> str             'en' where it is English that stands in
    available() -> tuple[str, ...]
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache
from typing import Any

from gramwright.labelling.shipped_data import read_yaml
from gramwright.resources import content

_FOLDER = "labelling/sentences"
_TABLES = ("claims", "nutrients", "cautions", "texts")
"""Keys whose content is a table of names and not of sentences."""


class Sentences:
    """The sentences of one language. `say` fills slots; the tables give names."""

    __slots__ = ("_said", "cautions", "claims", "decimal", "language", "nutrients", "texts")

    def __init__(self, language: str, said: Mapping[str, str], tables: Mapping[str, Mapping[str, str]]) -> None:
        self.language = language
        self.decimal = said["decimal"]
        self.claims = tables["claims"]
        self.nutrients = tables["nutrients"]
        self.cautions = tables["cautions"]
        self.texts = tables["texts"]
        self._said = said

    def __getitem__(self, key: str) -> str:
        """A text as it stands: 'claim.condition'."""
        return self._said[key]

    def say(self, key: str, **slots: object) -> str:
        return self._said[key].format(**slots)

    def counted(self, key: str, count: float, **slots: object) -> str:
        """The form of a text for a number: 'one' for 1, else 'other'."""
        return self._said[f"{key}.{'one' if count == 1 else 'other'}"].format(**slots)

    def number(self, text: str) -> str:
        """A plain number's text with the language's decimal sign."""
        return text if self.decimal == "." else text.replace(".", self.decimal)

    def of(self, text: str) -> str:
        """A rule set's English text in this language."""
        return self.texts.get(text, text)

    def joined(self, names: Sequence[str]) -> str:
        """'fat', 'fat and salt', 'fat, salt and sugars'."""
        if len(names) < 2:
            return "".join(names)
        return self.say("join.names", first=", ".join(names[:-1]), last=names[-1])

    def some(self, names: Sequence[str], most: int = 3) -> str:
        """'a', 'a and b', 'a, b, c and 2 more', each once."""
        each = list(dict.fromkeys(names))
        if len(each) > most:
            return self.say("join.more", names=", ".join(each[:most]), n=len(each) - most)
        return self.joined(each)

    def claim(self, name: str, pattern: str, nutrient: str) -> str:
        """The shown name of a claim; of a claim of a series by its pattern ('high {name}')."""
        return self.claims.get(name) or self.claims.get(pattern, pattern).replace("{name}", nutrient)


@cache
def available() -> tuple[str, ...]:
    """The languages that this room speaks, sorted."""
    return tuple(sorted(path.stem for path in (content() / _FOLDER).glob("*.yaml")))


@cache
def sentences(language: str) -> Sentences:
    """The sentences of a language tag."""
    known = available()
    return _read(next((name for name in (language, language.partition("-")[0]) if name in known), "en"))


@cache
def foreign(language: str) -> str:
    """'en' where the sentences of a language are the English ones, else ''."""
    return "" if sentences(language).language == language.partition("-")[0] else "en"


@cache
def _read(language: str) -> Sentences:
    said: dict[str, str] = {}
    tables: dict[str, dict[str, str]] = {table: {} for table in _TABLES}
    for name in dict.fromkeys(("en", language)):
        for key, value in read_yaml(f"{_FOLDER}/{name}.yaml").items():
            if key in _TABLES:
                tables[key].update({str(of): str(text) for of, text in value.items()})
            else:
                _flatten(key, value, said)
    return Sentences(language, said, tables)


def _flatten(key: str, value: Any, into: dict[str, str]) -> None:
    if isinstance(value, Mapping):
        for inner, text in value.items():
            _flatten(f"{key}.{inner}", text, into)
    else:
        into[key] = str(value)
