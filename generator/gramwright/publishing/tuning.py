"""Changes a recipe's amounts until a portion meets its targets: opens the hub, asks `prep.tune`, writes if told to.

tune_recipe(root, slug, targets, rows, today, write=False) -> TuneResult
rewritten(text, moves, page) -> str        the page's text with the amounts replaced, all else as it was
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import NamedTuple

from gramwright.model import RecipePage, Row, Target
from gramwright.prep.tune import Move, Tuned, tune, written
from gramwright.prep.tune_rows import parse_asked, parse_finished
from gramwright.problems import Place, Problem, ProblemLog, Trouble
from gramwright.publishing.changes import Change, change
from gramwright.publishing.cookbook import Cookbook
from gramwright.publishing.hub import scan
from gramwright.publishing.keep_safe import replace_text
from gramwright.publishing.kitchen import open_kitchen
from gramwright.publishing.plan import slugs_of
from gramwright.publishing.plans import CookbookRecipes, read_packs
from gramwright.reading.pages import read_page
from gramwright.reading.targets import parse_target
from gramwright.site.facts import facts

_AMOUNT_KEY = re.compile(r"""\bamount["']?\s*:\s*["']?\s*""")
LONGEST_ROW = 12
"""Lines after a row's first in which its amount may stand."""


class TuneResult(NamedTuple):
    tuned: Tuned
    file: str
    change: Change | None
    """What the change does to declared figures, allergens and claims."""
    written: bool
    problems: tuple[Problem, ...]


def tune_recipe(
    root: Path,
    slug: str,
    targets: Mapping[str, str],
    rows: Sequence[str],
    today: date,
    write: bool = False,
    finished: str | None = None,
) -> TuneResult:
    """The smallest change of a recipe that meets `targets` ('energy': '..450'); writes only when told to and met.

    `finished`: '..1500 g', limits of the finished weight.

    Raises Trouble: 'no-targets', 'unknown-target', 'bad-target', 'bad-rows', 'unknown-row', 'unknown-recipe',
    'bad-weight', 'no-finished-weight', 'weight-out-of-reach' ...
    """
    wanted = [_target(key, text) for key, text in targets.items()]
    if not wanted:
        raise Trouble("no-targets", "expected at least one target, found none", "as in --energy ..450 --protein 35..")
    asked = [parse_asked(text) for text in rows]
    weight = None if finished is None else parse_finished(finished)
    log = ProblemLog()
    hub = scan(root)
    kitchen = open_kitchen(hub, today, log)
    if kitchen is None:
        raise _first(log)
    slugs = slugs_of(hub, None, log)
    recipes = CookbookRecipes(Cookbook(kitchen, slugs))
    packs = read_packs(kitchen, log)
    if log.has_errors:
        raise _first(log)
    tuned = tune(recipes, slug, wanted, asked, packs, weight)
    file = slugs[slug]
    moved = change(facts(tuned.before, tuned.label_before), facts(tuned.after, tuned.label_after))
    problems: list[Problem] = []
    page = tuned.before.page
    done = bool(write and tuned.met and tuned.moves)
    if done:
        text = hub.read(file).decode("utf-8")
        replace_text(root / file, rewritten(text, tuned.moves, page))
        if page.finished_g is not None:
            problems.append(
                Trouble(
                    "weigh-again",
                    f"expected a finished weight of the changed recipe, found the one measured before "
                    f"({page.finished_g:g} g)",
                    f"weigh it again; by the rows it should come to about {tuned.after.finished_g or 0:.0f} g",
                ).at(Place(file, page.lines.get("finished_weight", 1)))
            )
    return TuneResult(tuned, file, moved, done, tuple(problems))


def _first(log: ProblemLog) -> Trouble:
    """What is wrong with the hub, as a Trouble."""
    first = next(problem for problem in log.sorted() if problem.severity == "error")
    return Trouble(first.code, f"{first.place}: {first.message}", first.hint or "gramwright proof HUB")


def _target(key: str, text: str) -> Target:
    tag, low, high = parse_target(key, text)
    return Target(key, tag, low, high, text, Place(""))


def rewritten(text: str, moves: Sequence[Move], page: RecipePage) -> str:
    """The page with the moved rows' amounts replaced where they stand.

    It is read again before it is given: every other row, and everything else, must be what it was. Raises Trouble
    'cannot-write' where an amount cannot be replaced by itself.
    """
    lines = text.split("\n")
    for move in sorted(moves, key=lambda one: page.rows[one.lever.index].place, reverse=True):
        _put(lines, page.rows[move.lever.index], written(move.after))
    new = "\n".join(lines)
    again = read_page(new, page.place.file, ProblemLog())
    after = {move.lever.index: move.after for move in moves}
    same = again is not None and len(again.rows) == len(page.rows) and again.method == page.method
    if again is not None and same:
        for index, (old, row) in enumerate(zip(page.rows, again.rows, strict=True)):
            middle = None if row.quantity is None else row.quantity.middle
            wanted = after.get(index, None if old.quantity is None else old.quantity.middle)
            same = same and (row.words, row.food, row.recipe) == (old.words, old.food, old.recipe) and middle == wanted
    if not same:
        raise _cannot(page.rows[moves[0].lever.index])
    return new


def _put(lines: list[str], row: Row, amount: str) -> None:
    """Replaces one row's amount in its line (of a mapping: where its 'amount:' is)."""
    old = "" if row.quantity is None else row.quantity.text
    mapping = row.food is not None or row.recipe is not None
    for at in range(row.place.line - 1, min(len(lines), row.place.line - 1 + (LONGEST_ROW if mapping else 1))):
        line = lines[at]
        begin = row.place.column - 1 if at == row.place.line - 1 else 0
        if mapping:
            key = _AMOUNT_KEY.search(line, begin)
            if key is None:
                continue
            begin = key.end()
        found = line.find(old, begin)
        if old and found >= 0 and (mapping is False or found == begin):
            lines[at] = line[:found] + amount + line[found + len(old) :]
            return
    raise _cannot(row)


def _cannot(row: Row) -> Trouble:
    return Trouble(
        "cannot-write",
        f"{row.place}: expected an amount that can be replaced by itself, found '{row.text}'",
        "change it by hand as the list says; nothing was written",
    )
