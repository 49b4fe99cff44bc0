"""Takes the text of an amount, gives numbers: decimals, fractions, ranges, 'N x', durations, shares, masses.

Number forms: `160`, `0.5`, `0,5`, `1/2`, `1 1/2`, `½`, `1½`; ranges `1-2`,
`1–2`, `1 to 2`; `2 x 400 g`. What could mean two things (`1,000`) is asked about.
"""

from __future__ import annotations

import math
import re
from functools import lru_cache

from gramwright.model import Quantity
from gramwright.problems import Trouble

LARGEST = 1e6
"""No recipe holds more than a tonne of anything; a larger number is a slip."""

LONGEST_TEXT = 500
"""Characters that a row may have before its note; longer texts are refused unread."""

VULGAR = {
    "½": 1 / 2,
    "⅓": 1 / 3,
    "⅔": 2 / 3,
    "¼": 1 / 4,
    "¾": 3 / 4,
    "⅕": 1 / 5,
    "⅖": 2 / 5,
    "⅗": 3 / 5,
    "⅘": 4 / 5,
    "⅙": 1 / 6,
    "⅚": 5 / 6,
    "⅐": 1 / 7,
    "⅛": 1 / 8,
    "⅜": 3 / 8,
    "⅝": 5 / 8,
    "⅞": 7 / 8,
    "⅑": 1 / 9,
    "⅒": 1 / 10,
}
"""The Unicode vulgar fractions (number forms block, U+00BC-00BE and U+2150-215E)."""

_V = "".join(VULGAR)
_NUMBER = rf"(?:\d+\s+\d+\s*[/⁄]\s*\d+|\d+\s*[/⁄]\s*\d+|\d+\s?[{_V}]|[{_V}]|\d+(?:[.,]\d+)?|[.,]\d+)"
_AMOUNT = re.compile(
    rf"\s*(?:(?P<times>{_NUMBER})\s*[xX×]\s*(?=[\d.,{_V}]))?"
    rf"(?P<low>{_NUMBER})(?:\s*(?:-|–|—|‒|−|\bto\b)\s*(?P<high>{_NUMBER}))?"
)
_SIMPLE = re.compile(r"(\d+(?:\.\d+)?)(?: +|(?=[a-zA-Zµ]))(?!to\b|[xX] *[\d.,½¼¾⅓⅔⅛]|[eE][\d+-])(?=[a-zA-Zµ])")
_PARTS = re.compile(rf"(?:(\d+)\s+)?(\d+)\s*[/⁄]\s*(\d+)|(\d+)?\s?([{_V}])|([\d.,]+)")
_JOINED = re.compile(r"\s*([^\W\d]+)\s*(?:([-–—])\s*\d[\d.,/]*\s*\1\b|(\+)\s*\d)")
"""'100 g - 150 g', '1 tbsp + 1 tsp': a second amount after the unit."""
_THIRD = re.compile(rf"\s*[-–—‒−]\s*{_NUMBER}(?:\s*[-–—‒−]\s*{_NUMBER})*")
"""'-3' after '1-2': a third number."""
_TO_TASTE = r"(?:to taste|nach geschmack|na smaak)"
_TASTE = re.compile(rf"^\s*{_TO_TASTE}\b[\s,:]*(?:of\s+)?|[\s,(]*\b{_TO_TASTE}\)?\s*$", re.IGNORECASE)
_TASTED = re.compile("taste|geschmack|smaak", re.IGNORECASE)
_THOUSANDS = re.compile(
    r"[1-9]\d{0,2}(?:(,)\d{3}(?![\d.,]))|[1-9]\d{0,2}(?:[ \u00a0\u202f\u2009'’]\d{3})+(?![\d/⁄])|\d+(?:[.,]\d+){2,}"
)
_WORDS = {"a", "an", "one", "two", "three", "four", "five", "six", "half", "some", "few", "several", "dozen"}


@lru_cache(maxsize=16384)
def parse_amount(text: str) -> tuple[Quantity | None, str]:
    """The amount at the start of a text, and the rest: '2 x 400 g beans' gives 800 and 'g beans'.

    'to taste' before or after the name gives None and the name. Raises Trouble
    'no-amount', 'bad-amount', 'ambiguous-number'.
    """
    if len(text) > LONGEST_TEXT:
        raise Trouble(
            "too-long",
            f"expected a row of at most {LONGEST_TEXT} characters, found {len(text)}",
            "write what is done with it in the method",
        )
    simple = _SIMPLE.match(text)
    if simple is not None:
        number = float(simple[1])
        if 0 < number <= LARGEST and not _JOINED.match(text, simple.end()):
            return Quantity(number, number, simple[1]), text[simple.end() :].strip()
    if _TASTED.search(text) is not None:
        rest, found = _TASTE.subn("", text, count=1)
        if found:
            return None, rest.strip(" ,")
    match = _AMOUNT.match(text)
    if match is None:
        raise _no_number(text)
    rest = text[match.end() :]
    written = match[0].strip()
    _refuse_unclear(text.strip(), written, rest)
    times = 1.0 if match["times"] is None else number_of(match["times"])
    low = number_of(match["low"])
    high = low if match["high"] is None else number_of(match["high"])
    if high < low:
        raise Trouble(
            "bad-amount",
            f"expected a range from small to large, found '{written}'",
            "write the smaller number first; a mixed number is '1 1/2', without a hyphen",
        )
    if times <= 0 or low <= 0:
        raise Trouble(
            "bad-amount",
            f"expected an amount above zero, found '{written}'",
            "give the amount that goes in, write 'to taste', or delete the row",
        )
    low, high = low * times, high * times
    if not high <= LARGEST:
        raise Trouble(
            "bad-amount", f"expected an amount below {LARGEST:,.0f}, found '{_shown(written)}'", "check the number"
        )
    return Quantity(low, high, written, times), rest.strip()


def number_of(text: str) -> float:
    """The value of one number as written; ZeroDivision and nonsense are Trouble 'bad-amount'."""
    match = _PARTS.fullmatch(text.strip())
    if match is None:
        raise Trouble("bad-amount", f"expected a number, found '{_shown(text)}'", "write it as 250, 0.5, 1/2 or 1 1/2")
    if len(text) > 40:
        return math.inf
    whole, over, under, before, vulgar, decimal = match.groups()
    if under is not None:
        if int(under) == 0:
            raise Trouble("bad-amount", f"expected a fraction, found '{_shown(text)}': division by zero", "check it")
        return int(whole or 0) + int(over) / int(under)
    if vulgar is not None:
        return float(before or 0) + VULGAR[vulgar]
    return float(decimal.replace(",", "."))


@lru_cache(maxsize=4096)
def parse_number(text: str) -> float:
    """A whole text that is one number: '4', '0,5', '1 1/2', '86 %' (0.86).

    Raises Trouble 'bad-number', 'bad-amount', 'ambiguous-number'.
    """
    bare = text.strip() if len(text) <= LONGEST_TEXT else "?"
    percent = bare.endswith("%")
    if percent:
        bare = bare[:-1].rstrip()
    sign = 1
    if bare[:1] in "-−+" and bare:
        sign = -1 if bare[0] != "+" else 1
        bare = bare[1:]
    if _THOUSANDS.fullmatch(bare):
        raise _thousands(bare)
    if not re.fullmatch(_NUMBER, bare):
        raise Trouble("bad-number", f"expected a number, found '{_shown(text)}'", "write it as 4, 0.86 or 1/2")
    value = sign * number_of(bare)
    if not math.isfinite(value) or abs(value) > 1e9:
        raise Trouble("bad-number", f"expected a sane number, found '{_shown(text)}'", "check the number")
    return value / 100 if percent else value


def _no_number(text: str) -> Trouble:
    bare = text.strip()
    first = bare.split()[0].lower() if bare else ""
    if bare[:1] in {"-", "−"} and _AMOUNT.match(bare[1:]):
        return Trouble(
            "bad-amount",
            f"expected an amount above zero, found '{_shown(bare)}'",
            "give the amount that goes in, or delete the row",
        )
    if first in {"inf", "nan", "infinity", ".inf", ".nan", "-.inf", "-inf"}:
        return Trouble("bad-amount", f"expected an amount, found '{_shown(bare)}'", "write a number of grams")
    if first in _WORDS:
        return Trouble(
            "no-amount",
            f"expected a number first, found the word '{first}' in '{_shown(bare)}'",
            "write the number in figures: 1, 2, 1/2",
        )
    one, both, other = bare.partition(" and ")
    if both and other:
        return Trouble(
            "no-amount",
            f"expected an amount such as '160 g', found '{_shown(bare)}'",
            f"make two rows of it: '1 g {_shown(one, 20)}' and '1 g {_shown(other, 20)}', or 'to taste' before each",
        )
    return Trouble(
        "no-amount",
        f"expected an amount such as '160 g', found '{_shown(bare)}'" if bare else "expected an amount, found nothing",
        f"write '5 g {_shown(bare, 30)}', or 'to taste {_shown(bare, 30)}' where it adds no energy" if bare else "",
    )


def _refuse_unclear(text: str, written: str, rest: str) -> None:
    found = _THOUSANDS.match(text)
    if found is not None:
        raise _thousands(found[0])
    if re.match(r"[eE][\d+-]", rest):
        raise Trouble(
            "bad-amount",
            f"expected a number written out, found '{_shown(text.split()[0])}'",
            "write it without an exponent",
        )
    joined = _JOINED.match(rest)
    if joined is not None:
        unit, _, plus = joined.groups()
        raise Trouble(
            "bad-amount",
            f"expected one amount, found '{_shown(written + rest, 30)}'",
            f"make two rows of it, or add the two up in {unit}" if plus else f"write the unit once: 100-150 {unit}",
        )
    third = _THIRD.match(rest)
    if third is not None:
        raise Trouble(
            "bad-amount",
            f"expected a number or a range of two, found '{_shown(written + third[0])}'",
            "write one number or two: 1, 1.5, 1 1/2 or 1-2",
        )
    if rest[:1] in {".", ","} and (rest[1:2] == " " or rest[1:2].isalpha()):
        raise Trouble(
            "bad-amount",
            f"expected digits after the decimal sign, found '{_shown(written + rest[:1])}'",
            f"leave the '{rest[0]}' out: {_shown(written)}",
        )
    if rest[:1] == "%" or (rest[:1] in {"/", "⁄", ",", "."} and rest[1:2] != " "):
        raise Trouble(
            "bad-amount",
            f"expected a number, found '{_shown(written + rest.split()[0])}'",
            "write it as 250, 0.5, 1/2 or 1 1/2",
        )


def _thousands(written: str) -> Trouble:
    digits = re.sub(r"\D", "", written)
    if "," in written and written.count(",") == 1 and "." not in written:
        decimal = f"{float(written.replace(',', '.')):g}"
        return Trouble(
            "ambiguous-number",
            f"expected a clear number, found '{_shown(written)}': {_shown(digits)} to some, {decimal} to others",
            f"write {_shown(digits)} or {decimal}",
        )
    return Trouble(
        "ambiguous-number",
        f"expected a number without thousands separators, found '{_shown(written)}'",
        f"write it in one piece ({_shown(digits)}), or '2 x 400 g' for two packs of 400 g",
    )


def _shown(text: str, most: int = 40) -> str:
    text = " ".join(text.split())
    return text if len(text) <= most else text[: most - 1] + "…"
