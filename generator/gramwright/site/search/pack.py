"""Small integers -> text that a script can hold: takes lists of numbers, gives strings of base64 digits.

One digit carries six bits (the alphabet of RFC 4648, section 4, without
padding), so a digit never straddles two numbers: that is what lets gzip see
how often each value comes.

    numbers   a column of equal width, most significant digits of all first,
              then the next ones ("planes")
    bits      a column of yes/no, six to a digit, the first in the lowest bit
    stream    numbers of any size one after another, five bits a digit, lowest
              first; a digit of 32 or more says that the number goes on

The browser's half is themes/galley/browser/find-pack.js.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

DIGITS = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/"

_SMALL = [""] * 1024
for _number in range(1024):
    _SMALL[_number] = DIGITS[_number] if _number < 32 else DIGITS[32 + _number % 32] + DIGITS[_number // 32]


def zigzag(number: int) -> int:
    """A number of either sign as one from 0 up, small ones staying small: 0, -1, 1, -2 are 0, 1, 2, 3."""
    return 2 * number if number >= 0 else -2 * number - 1


def width(numbers: Iterable[int]) -> int:
    """Digits that the largest number needs, at least one."""
    return max(1, -(-max(numbers, default=0).bit_length() // 6))


def pack_numbers(numbers: Sequence[int]) -> str:
    """Numbers from 0 up, as planes of `width(numbers)` digits each; raises ValueError below 0."""
    if any(number < 0 for number in numbers):
        raise ValueError("only numbers from 0 up can be packed")
    shifts = range(6 * (width(numbers) - 1), -1, -6)
    return "".join(DIGITS[number >> shift & 63] for shift in shifts for number in numbers)


def pack_bits(places: Iterable[int], count: int) -> str:
    """Which of `count` are members, six to a digit; '' when none is."""
    digits = [0] * -(-count // 6)
    for place in places:
        digits[place // 6] |= 1 << place % 6
    return "".join(DIGITS[digit] for digit in digits) if any(digits) else ""


def pack_stream(numbers: Iterable[int]) -> str:
    """Numbers from 0 up of any size, small ones in one digit; raises ValueError below 0."""
    text = []
    for number in numbers:
        if 0 <= number < 1024:
            text.append(_SMALL[number])
            continue
        if number < 0:
            raise ValueError("only numbers from 0 up can be packed")
        while number >= 32:
            text.append(DIGITS[32 + number % 32])
            number //= 32
        text.append(DIGITS[number])
    return "".join(text)


def pack_sets(sets: Sequence[Sequence[int]]) -> list[str]:
    """Sets of numbers as two streams: how many each has; then all members rising, as steps from the one before."""
    return [pack_stream(len(members) for members in sets), pack_stream(_steps(sets))]


def _steps(sets: Iterable[Sequence[int]]) -> Iterable[int]:
    for members in sets:
        before = 0
        for member in sorted(members):
            yield member - before
            before = member


def pack_rising(numbers: Sequence[int]) -> str:
    """A rising list of different numbers as a stream of the gaps between them."""
    before = -1
    gaps = []
    for number in numbers:
        gaps.append(number - before - 1)
        before = number
    return pack_stream(gaps)


def pack_subset(places: Sequence[int], count: int) -> str:
    """Which of `count` are members, by rising places: as gaps or as bits, whichever is shorter; '' for none.

    A text exactly as long as the bits would be is bits.
    """
    gaps = pack_rising(places)
    return gaps if len(gaps) < -(-count // 6) else pack_bits(places, count)
