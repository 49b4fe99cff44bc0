"""The theme's words in one language. Takes words/<language>.yaml, gives texts, plurals and formatted numbers.

A words file is a mapping of mappings; a key is written with dots
(`recipe.method`). A word with plural forms is a mapping of CLDR plural
categories (one, few, many, other). `{name}` stands for what the page fills in. Numbers are rounded half up from
decimals, as the rule sets do.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from gramwright.labelling.rounding import NUDGE
from gramwright.problems import Trouble, either
from gramwright.site import assets, plurals

NARROW_SPACE = "\u202f"
"""Thin no-break space: groups thousands, joins a number to its unit."""

CAPITAL_NOUNS = frozenset({"de", "lb"})
"""Languages that write every noun with a capital."""

_DAY = re.compile(r"(\d{4})-(\d\d)-(\d\d)")
_LONG_NUMBER = re.compile(r"\d{4}")
_NUMBER = re.compile(r"\d+(?:\.\d+)?")
_UNIT = re.compile(r"(?<=\d) (?=(?:g|mg|µg|kg|mL|kJ|kcal|%)(?:\W|$))")
_SLOT = re.compile(r"\{(\w+)\}")


class Words:
    """The texts of one language, and its way of writing numbers."""

    def __init__(self, language: str, texts: Mapping[str, str | Mapping[str, str]]) -> None:
        self.language = language
        self.texts = texts
        self.decimal = str(texts.get("number.decimal", "."))
        self.group = str(texts.get("number.group", NARROW_SPACE))
        self.direction = str(texts.get("direction", "ltr"))
        self._split: dict[str, list[str]] = {}
        self._points = self.decimal == "."
        day = texts.get("date")
        self._day = day if isinstance(day, str) else None
        self._plural = plurals.rule(language)

    def __call__(self, key: str, **slots: object) -> str:
        """The text of a key with its slots filled; with `n` the plural form for n. Raises Trouble 'unknown-word'."""
        found = self.texts.get(key)
        if found is None:
            raise Trouble("unknown-word", f"the theme's words have no '{key}'", "Add it to theme/words in the hub.")
        if not isinstance(found, str):
            count = slots.get("n", 0)
            number = count if isinstance(count, (int, float)) else 0
            found = found.get(self._plural(number)) or found["other"]
        return self._filled(found, slots) if slots else found

    def _filled(self, text: str, slots: Mapping[str, object]) -> str:
        """The text with `{name}` replaced; a slot that is not given stays as it is."""
        pieces = self._split.get(text)
        if pieces is None:
            pieces = self._split[text] = _SLOT.split(text)
        if len(pieces) == 1:
            return text
        filled = pieces.copy()
        for at in range(1, len(pieces), 2):
            value = slots.get(pieces[at])
            if value is None:
                filled[at] = "{" + pieces[at] + "}"
            else:
                filled[at] = value if type(value) is str else self._as_text(value)
        return "".join(filled)

    def _as_text(self, value: object) -> str:
        return self.plain(value) if isinstance(value, (int, float)) else str(value)

    def get(self, key: str, otherwise: str) -> str:
        """The text of a key that data chooses (an allergen, a tag), or `otherwise`."""
        found = self.texts.get(key)
        return found if isinstance(found, str) else otherwise

    # ------------------------------------------------------------ numbers

    def number(self, amount: float, decimals: int = 0) -> str:
        """'1 654', '58.3': thousands grouped by a thin no-break space, the language's decimal sign."""
        text = f"{amount * NUDGE:.{decimals}f}"
        if self._points and -999 < amount < 999:
            return text
        return self.localised(text)

    def plain(self, amount: float) -> str:
        """A number with no more decimals than it needs, two at most: 4, 2.5, 0.75."""
        text = f"{amount * NUDGE:.2f}".rstrip("0").rstrip(".")
        return self.localised(text)

    def grams(self, amount: float) -> str:
        """'160 g', '2.5 g': whole grams from 10 up, one decimal from 1, two below."""
        if 9.95 <= amount < 999:
            return f"{amount * NUDGE:.0f}{NARROW_SPACE}g"
        text = f"{amount * NUDGE:.{0 if amount > 10 else 1 if amount >= 0.995 else 2}f}"
        if amount < 9.95:
            text = text.rstrip("0").rstrip(".")
        return f"{self.localised(text)}{NARROW_SPACE}g"

    def percent(self, share: float) -> str:
        """'18 %' of a share 0 to 1; what is above zero and below one half says '< 1 %'."""
        if 0 < share < 0.005:
            return f"<{NARROW_SPACE}1{NARROW_SPACE}%"
        return f"{share * 100 * NUDGE:.0f}{NARROW_SPACE}%"

    def date(self, iso: str) -> str:
        """A day ('2025-06-14') as the language writes it; any other text as it is."""
        found = _DAY.fullmatch(iso)
        if found is None or self._day is None:
            return iso
        return self._day.format(year=found[1], month=found[2], day=found[3])

    def inside(self, name: str) -> str:
        """A name (of a meal) as it stands inside a sentence: small, but in languages that write nouns with capitals."""
        return name if self.language.partition("-")[0] in CAPITAL_NOUNS else name.lower()

    def joined(self, text: str) -> str:
        """A text whose numbers never part from their units at a line's end: '3 g', '12 %'."""
        return _UNIT.sub(NARROW_SPACE, text)

    def localised(self, text: str) -> str:
        """A text with plain numbers in it ('1654 kJ', '<0.5 g') with this language's grouping and decimal sign."""
        if self._points and _LONG_NUMBER.search(text) is None:
            return text
        return _NUMBER.sub(self._one_number, text)

    def _one_number(self, match: re.Match[str]) -> str:
        whole, point, part = match[0].partition(".")
        if len(whole) > 4 or (len(whole) == 4 and not whole.startswith("0")):
            whole = f"{int(whole):,}".replace(",", self.group)
        return whole + (self.decimal + part if point else "")


def load(language: str, hub_root: Path | None) -> Words:
    """A language's words, the hub's own on top; English for a missing key. Raises Trouble 'unknown-language'."""
    texts: dict[str, str | Mapping[str, str]] = {}
    known = available(hub_root)
    if language not in known:
        raise Trouble(
            "unknown-language",
            f"the theme has no words for '{language}'",
            f"Choose {either(sorted(known))}, or put theme/words/{language}.yaml into the hub.",
        )
    for name in dict.fromkeys(("en", language)):
        for folder in reversed(assets.folders(hub_root)):
            path = folder / "words" / f"{name}.yaml"
            if path.is_file():
                _flatten(assets.load_yaml(path), "", texts, path)
    return Words(language, texts)


def available(hub_root: Path | None) -> set[str]:
    """The languages that the theme or the hub has words for."""
    return {path.stem for folder in assets.folders(hub_root) for path in (folder / "words").glob("*.yaml")}


def _flatten(node: Any, prefix: str, into: dict[str, str | Mapping[str, str]], path: Path) -> None:
    if not isinstance(node, dict):
        raise Trouble(
            "theme-words",
            f"words/{path.name}: expected a mapping, found {type(node).__name__}",
            "Write it as the theme's own words/en.yaml is written.",
        )
    for key, value in node.items():
        name = f"{prefix}{key}"
        if isinstance(value, dict) and "other" in value and set(value) <= set(plurals.CATEGORIES):
            into[name] = {category: str(text) for category, text in value.items()}
        elif isinstance(value, dict):
            _flatten(value, f"{name}.", into, path)
        elif isinstance(value, str):
            into[name] = value
        else:
            raise Trouble(
                "theme-words",
                f"words/{path.name}: expected a text at '{name}', found {value!r}",
                "Put the text into quotation marks.",
            )
