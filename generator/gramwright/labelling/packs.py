"""Bought products go out of date as sources. Takes a food's quality and date, says whether its pack still speaks."""

from __future__ import annotations

from datetime import date
from enum import StrEnum
from functools import lru_cache

from gramwright.model import Quality


class Pack(StrEnum):
    """How far a food's allergen statement can be relied on by its date."""

    NO_PACK = "no_pack"
    """Not a bought product: its date does not matter."""
    FRESH = "fresh"
    OLD = "old"
    UNDATED = "undated"
    UNREADABLE = "unreadable"
    """The date is no ISO date."""
    FUTURE = "future"


@lru_cache(maxsize=8192)
def pack_speaks(updated: str, months: int, today: date) -> bool:
    """Whether the pack of a bought product that was read on `updated` can still be relied on."""
    return pack_state(Quality.DECLARED, updated, months, today) is Pack.FRESH


def pack_state(quality: Quality, updated: str, months: int, today: date) -> Pack:
    """Takes a food's `quality` and `updated`, the hub's limit and the day of the build."""
    if quality is not Quality.DECLARED:
        return Pack.NO_PACK
    if not updated:
        return Pack.UNDATED
    try:
        read = date.fromisoformat(updated)
    except ValueError:
        return Pack.UNREADABLE
    if read > today:
        return Pack.FUTURE
    return Pack.OLD if _months_later(read, months) < today else Pack.FRESH


def _months_later(day: date, months: int) -> date:
    """The same day `months` later; the last day of a shorter month (31 January + 1: 28 February)."""
    year, month = divmod(day.year * 12 + day.month - 1 + months, 12)
    for last in (day.day, 30, 29, 28):
        try:
            return date(year, month + 1, min(day.day, last))
        except ValueError:
            continue
    return date.max
