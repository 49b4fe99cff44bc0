"""What is worked out of a food once and then only looked up. Takes a function of a food, gives it with a memory."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Generic, TypeVar

from gramwright.model import Food

Answer = TypeVar("Answer")

MOST = 20_000
"""Answers kept; then the memory starts anew."""


class ByFood(Generic[Answer]):
    """A function of a food (and of a few things that hash), remembered by the food's identity.

    The same foods come in recipe after recipe, and to hash a food would cost more than most answers. The food is
    kept beside its answer, so that its identity stays its own.
    """

    __slots__ = ("_kept", "_make")

    def __init__(self, make: Callable[..., Answer]) -> None:
        self._make = make
        self._kept: dict[tuple[Any, ...], tuple[Food, Answer]] = {}

    def __call__(self, food: Food, *more: Any) -> Answer:
        key = (id(food), *more)
        found = self._kept.get(key)
        if found is None:
            if len(self._kept) >= MOST:
                self._kept.clear()
            found = self._kept[key] = (food, self._make(food, *more))
        return found[1]
