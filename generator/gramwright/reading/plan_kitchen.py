"""Takes a plan block's kitchen and sessions, gives Gear and Session records."""

from __future__ import annotations

import re
from collections.abc import Callable

from gramwright.model import Cook, Gear, Named, Oven, Session
from gramwright.problems import Trouble
from gramwright.reading.fields import Fields
from gramwright.reading.yaml_nodes import Mapping, Node, Scalar, Sequence, described

GEAR_KEYS = ("hands", "rings", "ovens", "microwaves", "air_fryers", "bowls")
OVEN_KEYS = ("name", "from", "to", "shelves")
SESSION_KEYS = ("day", "at", "cooks", "together")
COLDEST_C, HOTTEST_C = 30.0, 500.0
USUAL_OVEN_C = (50.0, 250.0)
"""What a home oven reaches where the plan does not say (common practice, no source)."""
USUAL_SHELVES = 2
MOST = 50
_CLOCK = re.compile(r"([01]?\d|2[0-3])[:.]([0-5]\d)")
_DEGREES = re.compile(r"(\d{1,3})\s*°?\s*C?", re.IGNORECASE)

DayOf = Callable[[Scalar], int | None]


def parse_clock(text: str) -> float:
    """Minutes after midnight of '10:00'. Raises Trouble 'bad-clock'."""
    found = _CLOCK.fullmatch(text.strip())
    if found is None:
        raise Trouble("bad-clock", f"expected a time of day, found '{text.strip()[:40]}'", 'write at: "10:00"')
    return int(found[1]) * 60.0 + int(found[2])


def parse_celsius(text: str) -> float:
    """Degrees Celsius of '180', '180 C', '180 °C'. Raises Trouble 'bad-temperature'."""
    found = _DEGREES.fullmatch(text.strip())
    if found is None or not COLDEST_C <= int(found[1]) <= HOTTEST_C:
        raise Trouble(
            "bad-temperature",
            f"expected degrees Celsius from {COLDEST_C:g} to {HOTTEST_C:g}, found '{text.strip()[:40]}'",
            "write 180, or 180 C",
        )
    return float(found[1])


def read_gear(fields: Fields, kitchen: Gear | None = None) -> Gear | None:
    """The kitchen; None where nothing is said of it or it cannot be read.

    What is not said of it is as in `kitchen`, the hub's, and without one as it is usual.
    """
    node = fields.node("kitchen")
    if node is None:
        return kitchen
    if not isinstance(node, Mapping):
        fields.problem(
            node,
            "wrong-type",
            f"expected what the kitchen has, found {described(node)}",
            "kitchen: {hands: 1, rings: 4}",
        )
        return None
    inner = Fields(node, fields.file, fields.log)
    inner.only(GEAR_KEYS, "a kitchen")
    usual = kitchen or Gear()
    return Gear(
        hands=_count(inner, "hands", usual.hands, least=1),
        rings=_count(inner, "rings", usual.rings),
        ovens=_ovens(inner) if inner.node("ovens") is not None else usual.ovens,
        microwaves=_count(inner, "microwaves", usual.microwaves),
        air_fryers=_count(inner, "air_fryers", usual.air_fryers),
        bowls=_count(inner, "bowls", 0) if inner.node("bowls") is not None else usual.bowls,
        place=fields.place(node),
        said=True,
    )


def _count(fields: Fields, key: str, otherwise: int, least: int = 0) -> int:
    number = fields.number(key, least, MOST, f"a whole number from {least} to {MOST}")
    if number is None:
        return otherwise
    if number != int(number):
        fields.problem(
            fields.entries[key][1],
            "out-of-range",
            f"expected a whole number for '{key}', found {number:g}",
            f"{key}: 1",
        )
        return otherwise
    return int(number)


def _ovens(fields: Fields) -> tuple[Oven, ...]:
    """A number of usual ovens, or a list of {name, from, to}."""
    node = fields.node("ovens")
    if node is None:
        return ()
    if isinstance(node, Scalar):
        count = _count(fields, "ovens", 0)
        place = fields.place(node)
        return tuple(Oven("", *USUAL_OVEN_C, place) for _ in range(count))
    if not isinstance(node, Sequence):
        fields.problem(
            node, "wrong-type", f"expected a list of ovens, found {described(node)}", "ovens: [{name: big, to: 250}]"
        )
        return ()
    ovens: list[Oven] = []
    for item in node.items:
        if not isinstance(item, Mapping):
            fields.problem(item, "wrong-type", f"expected an oven, found {described(item)}", "{name: big, to: 250}")
            continue
        inner = Fields(item, fields.file, fields.log)
        inner.only(OVEN_KEYS, "an oven")
        low = inner.parsed("from", parse_celsius, "degrees")
        high = inner.parsed("to", parse_celsius, "degrees")
        low = USUAL_OVEN_C[0] if low is None else low
        high = USUAL_OVEN_C[1] if high is None else high
        if low > high:
            fields.problem(
                item, "bad-temperature", f"expected an oven's lower end first, found {low:g} to {high:g}", "turn them"
            )
            continue
        shelves = _count(inner, "shelves", USUAL_SHELVES, least=1)
        ovens.append(Oven(inner.text("name", 40), low, high, fields.place(item), shelves))
    return tuple(ovens)


def read_sessions(fields: Fields, day_of: DayOf) -> tuple[Session, ...]:
    """The sessions by day and time; `day_of` gives the number of a day as written."""
    one, many = fields.node("session"), fields.node("sessions")
    if one is not None and many is not None:
        fields.problem(one, "two-sessions", "expected 'session' or 'sessions', found both", "put it into the list")
    items: list[Node] = list(many.items) if isinstance(many, Sequence) else [] if many is None else [many]
    if one is not None:
        items.insert(0, one)
    sessions = [session for item in items if (session := _session(item, fields, day_of)) is not None]
    return tuple(sorted(sessions, key=lambda session: (session.day, session.start_min or 0.0)))


def session_days(fields: Fields) -> list[Scalar]:
    """The days of the sessions as written."""
    found: list[Scalar] = []
    for key in ("session", "sessions"):
        node = fields.node(key)
        for item in node.items if isinstance(node, Sequence) else [node]:
            day = item.get("day") if isinstance(item, Mapping) else None
            if isinstance(day, Scalar):
                found.append(day)
    return found


def _session(node: Node, fields: Fields, day_of: DayOf) -> Session | None:
    if not isinstance(node, Mapping):
        fields.problem(
            node, "wrong-type", f"expected a session, found {described(node)}", 'session: {day: 1, at: "10:00"}'
        )
        return None
    inner = Fields(node, fields.file, fields.log)
    inner.only(SESSION_KEYS, "a session")
    day = inner.scalar("day", "a day")
    if day is None:
        if "day" not in inner.entries:
            fields.problem(node, "no-day", "expected the day of the session, found none", "day: 1")
        return None
    number = day_of(day)
    if number is None:
        return None
    return Session(
        day=number,
        start_min=inner.parsed("at", parse_clock, "a time of day"),
        cooks=_cooks(inner),
        together=_named(inner, "together"),
        place=fields.place(node),
    )


def _named(fields: Fields, key: str) -> tuple[Named, ...]:
    """A list of names with their places."""
    node = fields.node(key)
    items = node.items if isinstance(node, Sequence) else [] if node is None else [node]
    found: dict[str, Named] = {}
    for item in items:
        name = fields.plain(item, f"'{key}'", 200) if isinstance(item, Scalar) and not item.empty else ""
        if name:
            found.setdefault(name, Named(name, fields.place(item)))
        elif not isinstance(item, Scalar) or item.empty:
            fields.problem(
                item, "wrong-type", f"expected a recipe in '{key}', found {described(item)}", f"{key}: [slug]"
            )
    return tuple(found.values())


def _cooks(fields: Fields) -> tuple[Cook, ...]:
    node = fields.node("cooks")
    if node is None:
        return ()
    if isinstance(node, Mapping):  # {slug: portions}
        inner = Fields(node, fields.file, fields.log)
        return tuple(
            Cook(
                key.text.strip(),
                None if inner.node(name) is None else inner.number(name, 0, 500, "portions", above=True),
                fields.place(key),
            )
            for name, (key, _) in node.entries.items()
        )
    if not isinstance(node, Sequence):
        fields.problem(node, "wrong-type", f"expected a list for 'cooks', found {described(node)}", "cooks: [slug]")
        return ()
    found: dict[str, Cook] = {}
    for item in node.items:
        if isinstance(item, Scalar) and not item.empty:
            cook = Cook(item.text.strip(), None, fields.place(item))
        elif isinstance(item, Mapping):
            inner = Fields(item, fields.file, fields.log)
            inner.only(("recipe", "portions"), "'cooks'")
            cook = Cook(
                inner.text("recipe", 200), inner.number("portions", 0, 500, "portions", above=True), fields.place(item)
            )
        else:
            fields.problem(item, "wrong-type", f"expected a recipe, found {described(item)}", "cooks: [slug]")
            continue
        if cook.recipe in found:
            fields.problem(item, "duplicate-item", f"expected '{cook.recipe}' once, found it twice", "delete one")
        elif cook.recipe:
            found[cook.recipe] = cook
    return tuple(found.values())
