"""Takes the text of a plan page, gives a PlanPage: front matter, prose, the plan block. Recipes are not looked up yet.

    read_plan(text, file, log, language, kitchen) -> PlanPage | None     None after errors, all of them in one run

A page has YAML front matter (title, slug, summary, published), prose, and one
fenced block named `plan` whose content is YAML; `plan_block` says what is in it.
"""

from __future__ import annotations

import re
from collections import abc

from gramwright.model import Gear, PlanPage
from gramwright.problems import Place, ProblemLog, near
from gramwright.reading.fences import Fence, fences
from gramwright.reading.fields import Fields
from gramwright.reading.plan_block import PlanBlock
from gramwright.reading.plan_days import weekdays
from gramwright.reading.yaml_nodes import Mapping, described, parse, short

KEYS = ("title", "slug", "summary", "published")
BLOCK = "plan"
_FRONT = re.compile(r"\A\s*?---[ \t]*\n(?:(.*?)\n)??(?:---|\.\.\.)[ \t]*(?:\n|\Z)", re.DOTALL)
_SLUG = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*")


def read_plan(
    text: str, file: str, log: ProblemLog, language: str = "en", kitchen: Gear | None = None
) -> PlanPage | None:
    """One plans/**/*.md, or None when errors were logged. `language` and `kitchen` are the hub's."""
    here = ProblemLog()
    page = _read(text, file, here, weekdays(language), kitchen)
    log.extend(here)
    return None if here.has_errors else page


def _read(text: str, file: str, log: ProblemLog, names: abc.Mapping[str, int], kitchen: Gear | None) -> PlanPage | None:
    front = _FRONT.match(text)
    if front is None:
        log.error(
            Place(file, 1, 1),
            "no-front-matter",
            "expected front matter between two lines of '---', found none",
            "start the page with ---, title: ..., ---",
        )
    head = _front_node(front, text, file, log)
    start = front.end() if front else 0
    block = _block(text, start, file, log)
    read = _plan(text, start, block, file, log, names, kitchen)
    if head is None or read is None or block is None:
        return None
    fields = Fields(head, file, log)
    fields.only(KEYS, "a plan's front matter")
    body_line = text.count("\n", 0, start) + 1
    intro = text[start : start + block.start]
    return PlanPage(
        slug=_slug(fields, file),
        title=_title(fields),
        summary=fields.text("summary"),
        people=read.people,
        days=read.days,
        sessions=read.sessions,
        gear=read.gear or Gear(),
        intro=intro.strip("\n"),
        intro_line=body_line + len(intro) - len(intro.lstrip("\n")),
        outro=text[start + block.end :],
        outro_line=text.count("\n", 0, start + block.end) + 1,
        place=Place(file, 1),
        lines={name: key.line for name, (key, _) in fields.entries.items()},
        published=fields.iso_date("published"),
        first_weekday=read.first_weekday,
    )


def _front_node(front: re.Match[str] | None, text: str, file: str, log: ProblemLog) -> Mapping | None:
    if front is None:
        return None
    first = text.count("\n", 0, front.start(1)) + 1 if front[1] is not None else 2
    before = len(log)
    node = parse(front[1] or "", file, log, first)
    if node is None:
        return Mapping({}, first, 1) if len(log) == before else None
    if isinstance(node, Mapping):
        return node
    log.error(
        Place(file, node.line, node.column),
        "wrong-type",
        f"expected 'key: value' lines in the front matter, found {described(node)}",
        "write one key a line, as in 'title: Regatta week'",
    )
    return None


def _block(text: str, start: int, file: str, log: ProblemLog) -> Fence | None:
    """The one block named plan; offsets count from `start`."""
    body = text[start:]
    found = list(fences(body))
    blocks = [fence for fence in found if fence.name == BLOCK]

    def line_of(fence: Fence) -> int:
        return text.count("\n", 0, start + fence.start) + 1

    if not blocks:
        hint = "add a block that opens with ```plan and closes with ```"
        for fence in found[:20]:
            if near(fence.name.lower().strip("{}."), [BLOCK], 1):
                hint = f"is the block '{short(fence.name)}' in line {line_of(fence)} meant? Name it {BLOCK}"
        line = text.count("\n", 0, start) + 1
        log.error(Place(file, line), "no-plan", "expected one block named plan, found none", hint)
        return None
    if len(blocks) > 1:
        log.error(
            Place(file, line_of(blocks[1]), 1),
            "two-plans",
            f"expected one block named plan, found {len(blocks)} (first in line {line_of(blocks[0])})",
            "put all days into one block, or make two pages of it",
        )
    if not blocks[0].closed:
        log.error(
            Place(file, line_of(blocks[0]), 1),
            "open-block",
            "expected a line that closes the plan block, found the end of the page",
            "close it with the same marks that opened it, on a line of their own",
        )
    return blocks[0]


def _plan(
    text: str,
    start: int,
    block: Fence | None,
    file: str,
    log: ProblemLog,
    names: abc.Mapping[str, int],
    kitchen: Gear | None,
) -> PlanBlock | None:
    if block is None:
        return None
    line = text.count("\n", 0, start + block.start) + 1
    before = len(log)
    node = parse(text[start + block.inner : start + block.inner_end], file, log, line + 1)
    if isinstance(node, Mapping):
        return PlanBlock.read(node, file, log, names, kitchen)
    if len(log) == before:
        found = "an empty block" if node is None else described(node)
        log.error(
            Place(file, line, 1),
            "empty-plan",
            f"expected people and days in the plan, found {found}",
            "people: {Hanne: {energy: 1900-2200 kcal}}, then days: {day 1: {dinner: recipe-slug}}",
        )
    return None


def _title(fields: Fields) -> str:
    before = len(fields.log)
    title = fields.text("title", 200)
    if not title and len(fields.log) == before:
        place = Place(fields.file, fields.entries["title"][0].line if "title" in fields.entries else 1)
        fields.log.error(place, "no-title", "expected the plan's title, found none", "title: Regatta week")
    return title


def _slug(fields: Fields, file: str) -> str:
    node = fields.scalar("slug", "a slug")
    slug = file.rpartition("/")[2].removesuffix(".md") if node is None else node.text.strip()
    if len(slug) <= 100 and _SLUG.fullmatch(slug):
        return slug
    better = "-".join(re.findall(r"[a-z0-9]+", slug.lower()))[:100].strip("-")
    fields.log.error(
        Place(file, 1) if node is None else fields.place(node),
        "bad-slug",
        f"expected a slug of small letters, digits and single hyphens, found '{short(slug)}'",
        f"write 'slug: {better}'" if better else "add a slug, as in 'slug: regatta-week'",
    )
    return ""
