"""Packed text: what is packed comes back, by a decoder written from the description at the head of pack.py."""

from __future__ import annotations

import base64

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gramwright.site.search import pack

NUMBERS = st.lists(st.integers(0, 70_000), max_size=60)


def numbers(text: str, count: int) -> list[int]:
    planes = len(text) // count if count else 0
    found = [0] * count
    for plane in range(planes):
        for place in range(count):
            found[place] = found[place] * 64 + pack.DIGITS.index(text[plane * count + place])
    return found


def stream(text: str) -> list[int]:
    found, number, scale = [], 0, 1
    for letter in text:
        digit = pack.DIGITS.index(letter)
        number += digit % 32 * scale
        if digit < 32:
            found.append(number)
            number, scale = 0, 1
        else:
            scale *= 32
    assert scale == 1
    return found


def bits(text: str, count: int) -> list[int]:
    return [place for place in range(count) if text and pack.DIGITS.index(text[place // 6]) >> place % 6 & 1]


def subset(text: str, count: int) -> list[int]:
    if len(text) == -(-count // 6):
        return bits(text, count)
    found, before = [], -1
    for gap in stream(text):
        before += gap + 1
        found.append(before)
    return found


def test_the_digits_are_the_base64_alphabet() -> None:
    """RFC 4648, section 4, table 1."""
    every = 0
    for value in range(64):
        every = every << 6 | value
    assert base64.b64encode(every.to_bytes(48, "big")).decode() == pack.DIGITS


@given(NUMBERS)
def test_numbers_come_back(values: list[int]) -> None:
    assert numbers(pack.pack_numbers(values), len(values)) == values


@given(NUMBERS)
def test_streams_come_back(values: list[int]) -> None:
    assert stream(pack.pack_stream(values)) == values


@given(st.integers(0, 200), st.data())
def test_subsets_come_back(count: int, data: st.DataObject) -> None:
    places = sorted(data.draw(st.sets(st.integers(0, count - 1)))) if count else []
    assert subset(pack.pack_subset(places, count), count) == places


@given(st.lists(st.sets(st.integers(0, 3000), max_size=8), max_size=20))
def test_sets_come_back(sets: list[set[int]]) -> None:
    sizes, steps = pack.pack_sets([sorted(members) for members in sets])
    left = iter(stream(steps))
    found = []
    for size in stream(sizes):
        before, members = 0, set()
        for _ in range(size):
            before += next(left)
            members.add(before)
        found.append(members)
    assert found == sets


@given(st.integers(-100_000, 100_000))
def test_zigzag_is_small_for_small_numbers_of_either_sign(number: int) -> None:
    folded = pack.zigzag(number)
    assert (folded // 2 if folded % 2 == 0 else -(folded + 1) // 2) == number
    assert folded in (2 * abs(number), 2 * abs(number) - 1)


@pytest.mark.parametrize("packer", [pack.pack_numbers, pack.pack_stream])
def test_negative_numbers_are_refused(packer: object) -> None:
    with pytest.raises(ValueError, match="from 0 up"):
        packer([3, -1])  # type: ignore[operator]
