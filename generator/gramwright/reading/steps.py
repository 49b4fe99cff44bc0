"""Takes the `steps` block of a recipe page, gives its Steps: times and needs beside the prose. Nothing is guessed.

The block is a YAML list, one entry a step:

    - {step: cut the roots, hands: 10 min, item: 1}
    - {step: heat the oven, wait: 12-15 min, oven: 210 C, shelves: 0, after: start, keep_warm: 10 min}
    - {step: roast, wait: 35-40 min, oven: 210 C, after: [cut the roots, heat the oven], item: 2}

`hands` comes first, `wait` after it; a step needs at least one of them. A step follows the one above it unless
`after` names others (`start`: nothing). Equipment (`oven` with `shelves`, `rings`, `microwave`, `air_fryer`, `bowls`)
is held from the step's start to its end. `keep_warm`: at most so long until what follows it. `ends_with`: finishes
together with those steps. `chill_within`: at most so long until the dish is in the fridge. `grows: no` or `yes` says
whether the time grows with the batch, where that is not as usual (hands-on time does, waiting does not).
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from collections.abc import Sequence as Many
from functools import lru_cache

from gramwright.model.steps import Minutes, Step
from gramwright.problems import Place, ProblemLog, Trouble, near
from gramwright.reading.amounts import parse_number
from gramwright.reading.fences import Fence
from gramwright.reading.fields import Fields
from gramwright.reading.fold import fold
from gramwright.reading.quantities import parse_minutes
from gramwright.reading.yaml_nodes import Mapping, Node, Scalar, Sequence, described, parse, short

BLOCK = "steps"
KEYS = (
    "step",
    "hands",
    "wait",
    "after",
    "item",
    "cooks",
    "oven",
    "shelves",
    "rings",
    "microwave",
    "air_fryer",
    "bowls",
    "keep_warm",
    "ends_with",
    "chill_within",
    "grows",
)
START = "start"
MOST_STEPS = 60
LONGEST_STEP = 3 * 24 * 60.0
"""Minutes; a session is no longer than that."""
COLDEST_OVEN, HOTTEST_OVEN = 30.0, 350.0
"""Degrees Celsius that a kitchen oven can be set to; anything else is a slip."""

EXAMPLE = "- {step: roast, wait: 35-40 min, oven: 180 C}"
_RANGE = re.compile(r"(.*?[\d½¼¾⅓⅔a-zA-Z.])\s*(?:-|–|—|\bto\b)\s*([\d½¼¾⅓⅔].*)")
_TEMPERATURE = re.compile(r"(\d{1,3}(?:[.,]\d+)?)\s*(?:°|º|deg(?:rees)?)?\s*([CF])", re.IGNORECASE)
_ITEM = re.compile(r"^ {0,3}\d{1,9}[.)](?=\s)", re.MULTILINE)


@lru_cache(maxsize=1024)
def parse_span(text: str) -> Minutes:
    """Minutes of '5 min', '35-40 min', '1 h to 1 h 20 min'; below zero is refused. Raises Trouble 'bad-time'."""
    bare = text.strip()
    if bare[:1] in ("-", "−", "–"):
        raise Trouble("bad-time", f"expected a time above zero, found '{short(bare, 40)}'", "write it as '35-40 min'")
    span = _RANGE.fullmatch(bare) if len(bare) <= 60 else None
    if span is None:
        low = high = parse_minutes(bare)
    else:
        first, second = span[1], span[2]
        if not re.search(r"[a-zA-Z]", first):
            unit = re.search(r"[a-zA-Z]+", second)
            first = f"{first} {unit[0]}" if unit else first
        low, high = parse_minutes(first), parse_minutes(second)
    if low > high:
        raise Trouble(
            "bad-time", f"expected the shorter time first, found '{short(bare, 40)}'", "write it as '35-40 min'"
        )
    if not 0 < high <= LONGEST_STEP:
        raise Trouble(
            "bad-time", f"expected a time above zero and of at most 3 days, found '{short(bare, 40)}'", "check it"
        )
    return Minutes(low, high)


def parse_celsius(text: str) -> float:
    """Degrees Celsius of '180 C', '180 °C' or '350 F'. Raises Trouble 'bad-temperature'."""
    found = _TEMPERATURE.fullmatch(text.strip())
    if found is None:
        raise Trouble(
            "bad-temperature",
            f"expected a temperature with its unit, found '{short(text.strip(), 40)}'",
            "write it as '180 C' (or '350 F')",
        )
    degrees = parse_number(found[1])
    celsius = degrees if found[2].upper() == "C" else (degrees - 32) / 1.8
    if not COLDEST_OVEN <= celsius <= HOTTEST_OVEN:
        raise Trouble(
            "bad-temperature",
            f"expected an oven temperature from {COLDEST_OVEN:g} to {HOTTEST_OVEN:g} C, found '{text.strip()}'",
            "check the number and its unit",
        )
    return celsius


def items_of(method: str) -> int:
    """How many numbered items a method has (CommonMark's ordered lists, not those inside other items)."""
    return len(_ITEM.findall(method))


def read_block(
    body: str, first_line: int, blocks: Many[Fence], file: str, log: ProblemLog, outside: Iterable[str], method: str
) -> tuple[Step, ...]:
    """The steps of a page's blocks named steps (there should be one), whose offsets count in `body`.

    `first_line` is the line where `body` starts, `method` the method's text. Problems: 'two-steps-blocks',
    'open-block', 'no-steps', and those of `read_steps`.
    """
    block = blocks[0]
    opened, *others = (first_line + body.count("\n", 0, fence.start) for fence in blocks)
    for line in others:
        message = f"expected one block named {BLOCK}, found another (first in line {opened})"
        log.error(Place(file, line, 1), "two-steps-blocks", message, "put all steps in one block")
    if not block.closed:
        log.error(
            Place(file, opened, 1),
            "open-block",
            f"expected a line that closes the {BLOCK} block, found the end of the page",
            "close it with the same marks that opened it, on a line of their own",
        )
    before = len(log)
    node = parse(body[block.inner : block.inner_end], file, log, opened + 1)
    if node is None:
        if len(log) == before:
            log.error(Place(file, opened, 1), "no-steps", "expected a list of steps, found an empty block", EXAMPLE)
        return ()
    return read_steps(node, file, log, outside, items_of(method))


def read_steps(node: Node, file: str, log: ProblemLog, outside: Iterable[str], items: int) -> tuple[Step, ...]:
    """All steps of a block; every problem of it is logged.

    `outside` are the slugs of the recipe's sub-recipes, which `after` may name; `items` is the number of the
    method's numbered items. Problems: 'no-steps', 'wrong-type', 'no-step-name', 'duplicate-step', 'no-step-time',
    'unknown-step', 'circular-after', 'no-such-item', 'bad-time', 'bad-temperature', 'out-of-range' ...
    """
    if not isinstance(node, Sequence) or not node.items:
        found = "an empty list" if isinstance(node, Sequence) else described(node)
        log.error(Place(file, node.line, node.column), "no-steps", f"expected a list of steps, found {found}", EXAMPLE)
        return ()
    if len(node.items) > MOST_STEPS:
        log.error(
            Place(file, node.line, node.column),
            "too-many-steps",
            f"expected at most {MOST_STEPS} steps, found {len(node.items)}",
            "put small steps together",
        )
        return ()
    entries: list[_Entry] = []
    names: dict[str, _Entry] = {}
    for item in node.items:
        if not isinstance(item, Mapping):
            log.error(
                Place(file, item.line, item.column), "wrong-type", f"expected a step, found {described(item)}", EXAMPLE
            )
            continue
        entry = _Entry(item, file, log)
        entry.read()
        key = fold(entry.name)
        if key in names:
            entry.problem(
                item,
                "duplicate-step",
                f"expected each step's name once, found '{short(entry.name)}' again "
                f"(first in line {names[key].mapping.line})",
                "say what is done differently, as in 'roast again'",
            )
            continue
        if key:
            names[key] = entry
            entries.append(entry)
    own = {key: entry.name for key, entry in names.items()}
    known = {fold(slug): slug for slug in outside} | own
    steps: list[Step] = []
    for number, entry in enumerate(entries):
        before = entries[number - 1].name if number else ""
        steps.append(entry.step(own, known, before, items))
    _refuse_circles(steps, log)
    return tuple(steps)


class _Entry(Fields):
    """One step's mapping."""

    __slots__ = ("hands", "name", "wait")

    def read(self) -> None:
        self.only(KEYS, "a step")
        self.name = self.text("step", 80)
        if not self.name:
            self.problem(self.mapping, "no-step-name", "expected what is done after 'step:', found nothing", EXAMPLE)
        elif fold(self.name) == START:
            self.problem(
                self.mapping, "no-step-name", f"expected what is done, found '{START}', which has a meaning", EXAMPLE
            )
        self.hands = self.parsed("hands", parse_span, "a time")
        self.wait = self.parsed("wait", parse_span, "a time")
        if self.node("hands") is None and self.node("wait") is None:
            self.problem(
                self.mapping,
                "no-step-time",
                f"expected how long '{short(self.name)}' takes, found neither 'hands' nor 'wait'",
                "hands: 5 min, or wait: 35-40 min, or both",
            )

    def step(self, own: dict[str, str], known: dict[str, str], before: str, items: int) -> Step:
        oven = self.parsed("oven", parse_celsius, "a temperature")
        if oven is None and self.node("shelves") is not None and self.node("oven") is None:
            message = "expected 'oven' with its temperature beside 'shelves', found none"
            self.problem(self.mapping, "no-oven", message, "oven: 180 C")
        above = (before,) if before else ()
        keep = self.parsed("keep_warm", _limit, "a time")
        chill = self.parsed("chill_within", _limit, "a time")
        item = self.count("item", 1, 10_000, None)
        if item is not None and item > items:
            self.problem(
                self.entries["item"][1],
                "no-such-item",
                f"expected the number of one of the method's items, found {item}; the method has {items}",
                "count the numbered items of the method",
            )
            item = None
        return Step(
            name=self.name,
            place=self.place(self.mapping),
            hands=self.hands,
            wait=self.wait,
            after=above if self.node("after") is None else self.steps("after", known),
            item=item,
            cooks=self.count("cooks", 1, 20, 1) or 1,
            oven_c=oven,
            shelves=self.whole("shelves", 0, 20, 1),
            rings=self.whole("rings", 0, 20, 0),
            microwaves=self.whole("microwave", 0, 5, 0),
            air_fryers=self.whole("air_fryer", 0, 5, 0),
            bowls=self.whole("bowls", 0, 50, 0),
            keep_warm=keep,
            ends_with=self.steps("ends_with", own),
            chill_within=chill,
            grows=None if self.node("grows") is None else self.flag("grows"),
        )

    def steps(self, key: str, known: dict[str, str]) -> tuple[str, ...]:
        """The names in `after` or `ends_with` as they are written where the steps stand."""
        found: list[str] = []
        for text in self.texts(key):
            if fold(text) == START and key == "after":
                continue
            name = known.get(fold(text))
            if name is None or fold(text) == fold(self.name):
                what = "another step" if name is None else "another step, not itself"
                close = near(fold(text), [other for other in known if other != fold(self.name)], 2)
                self.problem(
                    self.entries[key][1],
                    "unknown-step",
                    f"expected the name of {what} in '{key}' of '{short(self.name)}', found '{short(text)}'",
                    f"did you mean {' or '.join(known[other] for other in close)}?"
                    if close
                    else f"steps are: {', '.join(list(known.values())[:12])}",
                )
            else:
                found.append(name)
        return tuple(dict.fromkeys(found))

    def count(self, key: str, least: int, most: int, default: int | None) -> int | None:
        """A whole number; 'yes' is 1 and 'no' is 0 where that fits."""
        node = self.node(key)
        if node is None:
            return default
        if isinstance(node, Scalar) and least == 0 and node.text.strip().lower() in ("yes", "no", "true", "false"):
            return int(self.flag(key))
        value = self.number(key, least, most)
        if value is None:
            return default
        if value != int(value):
            message = f"expected a whole number for '{key}', found {described(node)}"
            self.problem(node, "out-of-range", message, f"{key}: 1")
            return default
        return int(value)

    def whole(self, key: str, least: int, most: int, default: int) -> int:
        found = self.count(key, least, most, default)
        return default if found is None else found


def _limit(text: str) -> float:
    """A longest time; zero means at once. Raises Trouble 'bad-time'."""
    minutes = parse_minutes(text)
    if minutes < 0 or minutes > LONGEST_STEP:
        raise Trouble("bad-time", f"expected a time of at most 3 days, found '{short(text, 40)}'", "check the number")
    return minutes


def _refuse_circles(steps: list[Step], log: ProblemLog) -> None:
    """Logs every step that waits for itself, once a circle, at the step of it that stands first."""
    names = {step.name: step for step in steps}
    done: set[str] = set()
    for first in steps:
        trail: list[str] = []
        _walk(first.name, names, trail, done, log)


def _walk(name: str, names: dict[str, Step], trail: list[str], done: set[str], log: ProblemLog) -> None:
    if name in trail:
        circle = trail[trail.index(name) :]
        first = min(circle, key=lambda one: names[one].place)
        turned = circle[circle.index(first) :] + circle[: circle.index(first)]
        log.error(
            names[first].place,
            "circular-after",
            f"expected steps that can start, found a circle: {' after '.join([*turned, turned[0]])}",
            "take one of them out of 'after'",
        )
        return
    if name in done or name not in names:
        return
    trail.append(name)
    for other in names[name].after:
        _walk(other, names, trail, done, log)
    trail.pop()
    done.add(name)
