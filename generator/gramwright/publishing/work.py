"""One page from its source to its files: what a worker process does. Takes orders, gives what was done.

A worker holds one `Desk` (kitchen, theme, cookbook), made once a process: inherited where processes fork, opened
anew where they start fresh. Orders come in chunks; nothing but small records travels back.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import NamedTuple

from gramwright.labelling.allergen_swaps import Swaps, swaps
from gramwright.labelling.label import label
from gramwright.model import Dish, Label
from gramwright.problems import Problem, ProblemLog, Severity
from gramwright.publishing import template_memory, tree
from gramwright.publishing.cookbook import Cookbook
from gramwright.publishing.hub import Stamp, scan
from gramwright.publishing.kitchen import Kitchen, open_kitchen
from gramwright.publishing.needs import needs_digest
from gramwright.publishing.notes import Step, notes, steps
from gramwright.publishing.pictures import Pictures, Published, cards, photo
from gramwright.publishing.state import Record, card_text
from gramwright.reading.files import small_enough
from gramwright.site import facts, facts_csv
from gramwright.site.cards import card
from gramwright.site.cook.bench import Bench
from gramwright.site.pages import labels as labels_page
from gramwright.site.pages import recipe as recipe_page
from gramwright.site.pictures.easel import Easel
from gramwright.site.theme import Theme


class Order(NamedTuple):
    """Make the pages of one recipe file."""

    file: str
    stamp: Stamp
    old: Mapping[str, str]
    """What is published of it now: path -> digest; empty when nothing is."""


@dataclass(frozen=True, slots=True)
class Done:
    """What became of an order; `record` is None when there were errors."""

    file: str
    record: Record | None
    problems: tuple[Problem, ...]
    files: Mapping[str, bytes] = field(default_factory=dict)
    """Path -> bytes of what was made, from a worker that writes nothing itself."""


class Desk(NamedTuple):
    """What a worker works with. Without a `folder` it computes and renders but writes nothing."""

    kitchen: Kitchen
    theme: Theme
    cookbook: Cookbook
    house: str
    out: Path
    folder: Path | None
    history: tuple[Step, ...] = ()
    """Recent corrections, newest first."""
    easel: Easel | None = None
    """None: the hub wants no share cards."""
    bench: Bench | None = None
    """Makes pages that can be cooked from and changed."""
    sends: bool = False
    """It has no folder but gives the bytes of what it makes."""


_desk: Desk | None = None


def sit(desk: Desk | None) -> None:
    """Gives this process its desk."""
    global _desk
    _desk = desk


def open_desk(root: Path, today: date, slugs: Mapping[str, str], house: str, out: Path, folder: Path | None) -> None:
    """Gives a fresh process its desk; does nothing where it was inherited."""
    if _desk is not None:
        return
    log = ProblemLog()
    kitchen = open_kitchen(scan(root), today, log)
    if kitchen is None:
        raise RuntimeError(f"the hub's tables changed while it was published: {log.sorted()[0].message}")
    sit(desk_for(kitchen, theme_for(kitchen, house), slugs, house, out, folder, easel_for(kitchen)))


def desk_for(
    kitchen: Kitchen,
    theme: Theme,
    slugs: Mapping[str, str],
    house: str,
    out: Path,
    folder: Path | None,
    easel: Easel | None,
    *,
    sends: bool = False,
) -> Desk:
    """A desk with a cookbook of its own."""
    bench = Bench(kitchen.rules, kitchen.books, kitchen.settings, kitchen.today)
    return Desk(kitchen, theme, Cookbook(kitchen, slugs), house, out, folder, steps(kitchen), easel, bench, sends)


def theme_for(kitchen: Kitchen, house: str) -> Theme:
    """The theme with its compiled templates; they are kept nowhere without a `house` digest.

    Raises Trouble when the language has no words or a theme file is broken.
    """
    root = kitchen.hub.root
    return Theme(kitchen.settings, root, template_memory.folder(root / ".gramwright", house) if house else None)


def easel_for(kitchen: Kitchen) -> Easel | None:
    """What share cards are drawn with. Raises Trouble 'theme-file', 'theme-font'."""
    return Easel(kitchen.hub.root) if kitchen.settings.share_cards else None


def work(orders: Sequence[Order]) -> list[Done]:
    """Carries out a chunk of orders, in order."""
    if _desk is None:
        raise RuntimeError("a worker was given work before its desk")
    return [carry_out(_desk, order) for order in orders]


def carry_out(desk: Desk, order: Order) -> Done:
    """Makes one recipe's files; they are written, or sent, as the desk wants it."""
    log = ProblemLog()
    cookbook = desk.cookbook
    if not small_enough(order.stamp[0], order.file, log):
        return Done(order.file, None, tuple(log))
    data = desk.kitchen.hub.read(order.file)
    with cookbook.trace() as trace:
        page = cookbook.page(order.file, data, log)
        dish = None if page is None else cookbook.dish(page, log)
        if dish is None:
            return Done(order.file, None, tuple(log))
        kitchen = desk.kitchen
        labelled = label(dish, kitchen.rules, kitchen.books, kitchen.settings, kitchen.vocabulary, log, kitchen.today)
        swapped = swaps(dish.ingredients, kitchen.rules.id, kitchen.settings, kitchen.today)
        pictures = _pictures(desk, order, dish, labelled, log)
        files = _files(desk, dish, labelled, swapped, pictures, trace.links, log)
    if log.has_errors:
        return Done(order.file, None, tuple(log))
    slug = dish.page.slug
    record = Record(
        file=order.file,
        stamp=order.stamp,
        slug=slug,
        source=trace.sources[slug],
        needs=needs_digest(
            desk.house,
            trace.sources,
            trace.asked,
            trace.links,
            kitchen.answer_digest,
            cookbook.slugs.__contains__,
            kitchen.hub.mark(dish.page.photo),
        ),
        asked=tuple(sorted(trace.asked)),
        inner=tuple(sorted(trace.sources.keys() - {slug})),
        links=tuple(sorted(trace.links)),
        card_text=card_text(card(dish, labelled, swapped)),
        outputs=_write(desk, order, files, pictures.kept),
        photo=dish.page.photo,
        warnings=tuple(problem for problem in log if problem.severity is Severity.WARNING),
    )
    return Done(order.file, record, tuple(log), files if desk.sends else {})


def _pictures(desk: Desk, order: Order, dish: Dish, labelled: Label, log: ProblemLog) -> Pictures:
    made = Pictures()
    now = Published(desk.out, order.old, desk.folder is not None or desk.sends)
    if desk.easel is not None:
        cards(made, desk.easel, desk.theme, dish, labelled, now, log)
    photo(made, desk.kitchen.hub, dish.page, now, log)
    return made


def _files(
    desk: Desk, dish: Dish, labelled: Label, swapped: Swaps, pictures: Pictures, links: set[str], log: ProblemLog
) -> dict[str, bytes]:
    """Published path -> bytes of everything that belongs to one recipe."""
    slugs = desk.cookbook.slugs

    def known(slug: str) -> bool:
        links.add(slug)
        return slug in slugs

    kitchen = desk.kitchen
    others = [
        (rules, label(dish, rules, kitchen.books, kitchen.settings, kitchen.vocabulary, ProblemLog(), kitchen.today))
        for rules in kitchen.also
    ]
    drawn = recipe_page.draw(desk.theme, dish, labelled)
    dated = notes(desk.kitchen, dish, labelled, desk.history) if desk.history else ()
    files = recipe_page.render(
        desk.theme,
        dish,
        labelled,
        known=known,
        log=log,
        notes=dated,
        photo=pictures.photo,
        bench=desk.bench,
        today=desk.kitchen.today,
        drawn=drawn,
        others=others,
    )
    files.update(labels_page.render(desk.theme, dish, labelled, drawn))
    files.update(pictures.files)
    files[f"recipes/{dish.page.slug}/facts.json"] = facts.encode(dish, labelled, swapped)
    files[f"recipes/{dish.page.slug}/facts.csv"] = facts_csv.encode(dish, labelled)
    return files


def _write(desk: Desk, order: Order, files: Mapping[str, bytes], kept: Mapping[str, str]) -> dict[str, str]:
    if desk.folder is None:
        return {path: tree.digest(data) for path, data in files.items()}
    outputs = {path: tree.put(desk.out, desk.folder, path, data, order.old.get(path)) for path, data in files.items()}
    tree.keep(desk.out, desk.folder, kept)
    return {**outputs, **kept}
