"""Takes the text of a recipe page, gives a RecipePage: front matter, prose, rows. Nothing is looked up yet."""

from __future__ import annotations

import re
from pathlib import PurePosixPath
from unicodedata import combining, normalize

from gramwright.model import Keeps, RecipePage, Row, Statement
from gramwright.model.steps import Step
from gramwright.problems import Place, ProblemLog, near
from gramwright.reading import steps as reading_steps
from gramwright.reading.fences import Fence, fences
from gramwright.reading.fields import Fields
from gramwright.reading.quantities import parse_days, parse_grams, parse_minutes
from gramwright.reading.rows import read_rows
from gramwright.reading.yaml_nodes import Mapping, Scalar, Sequence, described, parse, short

KEYS = (
    "title",
    "slug",
    "summary",
    "portions",
    "meals",
    "hands_on",
    "total",
    "finished_weight",
    "yield",
    "keeps",
    "claims",
    "tags",
    "photo",
    "photo_alt",
    "published",
    "declared",
    "cautions",
    "silence",
)
MEANT = {
    "name": "title",
    "description": "summary",
    "serves": "portions",
    "servings": "portions",
    "makes": "portions",
    "recipeyield": "portions",
    "meal": "meals",
    "course": "meals",
    "category": "meals",
    "recipecategory": "meals",
    "prep": "hands_on",
    "preptime": "hands_on",
    "worktime": "hands_on",
    "time": "total",
    "cooktime": "total",
    "totaltime": "total",
    "weight": "finished_weight",
    "storage": "keeps",
    "keywords": "tags",
    "image": "photo",
    "picture": "photo",
    "alt": "photo_alt",
    "date": "published",
    "datepublished": "published",
}
"""Other names that cooks and schema.org have for the keys, without spaces: only to say which one is meant."""
BLOCK = "ingredients"
_KEY_SET = frozenset(KEYS)
_FRONT = re.compile(r"\A\s*?---[ \t]*\n(?:(.*?)\n)??(?:---|\.\.\.)[ \t]*(?:\n|\Z)", re.DOTALL)
_SLUG = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*")
_SCHEME = re.compile(r"[a-zA-Z][a-zA-Z0-9+.-]*:")
_LETTERS = str.maketrans({"æ": "ae", "œ": "oe", "ø": "o", "ł": "l", "đ": "d", "ð": "d", "þ": "th", "ı": "i"})
"""Letters that no accent explains."""

YIELD_HINT = "finished weight / weight of all rows, as in 0.86, or the name of a typical yield"


def read_page(text: str, file: str, log: ProblemLog) -> RecipePage | None:
    """One recipes/**/*.md, or None when errors were logged (all of them in one run)."""
    here = ProblemLog()
    page = read_draft(text, file, here)
    log.extend(here)
    return None if here.has_errors else page


def read_draft(text: str, file: str, log: ProblemLog) -> RecipePage | None:
    """The page as far as it can be read, so that its sound rows can be looked up in the same run; None when it cannot.

    Only a page that left no error in the log may be computed.
    """
    front = _FRONT.match(text)
    if front is None:
        log.error(
            Place(file, 1, 1),
            "no-front-matter",
            f"expected front matter between two lines of '---', found {_opening(text)}",
            "start the page with ---, title: ..., portions: ..., ---",
        )
        _rows(text, 0, 1, file, log)
        return None
    first = text.count("\n", 0, front.start(1)) + 1 if front[1] is not None else 2
    before = len(log)
    node = parse(front[1] or "", file, log, first)
    if node is None and len(log) == before:
        node = Mapping({}, first, 1)
    body_line = text.count("\n", 0, front.end()) + 1
    block, rows = _rows(text, front.end(), body_line, file, log)
    if node is None:
        return None
    if not isinstance(node, Mapping):
        log.error(
            Place(file, node.line, node.column),
            "wrong-type",
            f"expected 'key: value' lines in the front matter, found {described(node)}",
            "write one key a line, as in 'portions: 4'",
        )
        return None
    fields = _Front(node, file, log)
    page = fields.page(rows, text, front.end(), body_line, block)
    return page if block is not None else None


def _steps_blocks(text: str, start: int) -> list[Fence]:
    """The blocks named steps after `start`; their offsets count from there."""
    if reading_steps.BLOCK not in text:
        return []
    return [fence for fence in fences(text[start:]) if fence.name == reading_steps.BLOCK]


def _without(text: str, start: int, end: int, offset: int, blocks: list[Fence]) -> str:
    """The text from `start` to `end` with blocks taken out; their lines stay, empty, so that later ones keep theirs."""
    for fence in reversed(blocks):
        first, last = fence.start + offset, fence.end + offset
        if start <= first and last <= end:
            gap = "\n" * text.count("\n", first, last)
            return _without(text, start, first, offset, blocks) + gap + text[last:end]
    return text[start:end]


def _opening(text: str) -> str:
    first = text.strip().partition("\n")[0].strip()
    if first == "---":
        return "an opening '---' that is never closed"
    return f"'{short(first, 40)}'" if first else "an empty page"


def _rows(text: str, start: int, first_line: int, file: str, log: ProblemLog) -> tuple[Fence | None, tuple[Row, ...]]:
    """The ingredients block of the text after `start` (offsets count from there) and its rows."""
    body = text[start:]
    found = list(fences(body))
    blocks = [fence for fence in found if fence.name == BLOCK]

    def line_of(offset: int) -> int:
        return first_line + body.count("\n", 0, offset)

    if not blocks:
        hint = "add a block that opens with ```ingredients and closes with ```"
        for fence in (*found[:20], *found[-1:]):
            if not fence.closed:
                hint = f"the block opened in line {line_of(fence.start)} is never closed, so all after it belongs to it"
            elif near(fence.name.lower().strip("{}."), [BLOCK], 1):
                hint = f"is the block '{short(fence.name)}' in line {line_of(fence.start)} meant? Name it {BLOCK}"
        log.error(Place(file, first_line), "no-ingredients", "expected one block named ingredients, found none", hint)
        return None, ()
    if len(blocks) > 1:
        log.error(
            Place(file, line_of(blocks[1].start), 1),
            "two-ingredients",
            f"expected one block named ingredients, found {len(blocks)} (first in line {line_of(blocks[0].start)})",
            "put all rows in one block and name its parts",
        )
    block = blocks[0]
    opened = line_of(block.start)
    if not block.closed:
        log.error(
            Place(file, opened, 1),
            "open-block",
            "expected a line that closes the ingredients block, found the end of the page",
            "close it with the same marks that opened it, on a line of their own",
        )
    before = len(log)
    node = parse(body[block.inner : block.inner_end], file, log, opened + 1)
    if node is None:
        if len(log) == before:
            log.error(
                Place(file, opened, 1),
                "no-rows",
                "expected at least one ingredient row, found an empty block",
                "- 160 g pearl barley, dry",
            )
        return block, ()
    return block, read_rows(node, file, log)


def _bare(text: str) -> str:
    """A text in small letters without accents, for the hint of a slug: 'Köder Straße' gives 'koder strasse'."""
    return "".join(one for one in normalize("NFKD", text.casefold()) if not combining(one)).translate(_LETTERS)


def _missing(file: str, log: ProblemLog, key: str, what: str) -> None:
    example = {"title": "Barley and squash tray", "portions": "4"}[key]
    log.error(Place(file, 1), f"no-{key}", f"expected {what}, found none", f"{key}: {example}")


class _Front(Fields):
    """The front matter of a recipe page."""

    __slots__ = ()

    def page(self, rows: tuple[Row, ...], text: str, start: int, body_line: int, block: Fence | None) -> RecipePage:
        entries = self.entries
        if not _KEY_SET.issuperset(entries):
            self.only(KEYS, "the front matter", MEANT)
        inner, outer = (0, 0) if block is None else (start + block.start, start + block.end)
        blocks = _steps_blocks(text, start)
        intro = _without(text, start, inner, start, blocks)
        method = _without(text, outer, len(text), start, blocks)
        steps: tuple[Step, ...] = ()
        if blocks:
            outside = [one.recipe for row in rows for one in (row, *row.swaps) if one.recipe]
            steps = reading_steps.read_block(text[start:], body_line, blocks, self.file, self.log, outside, method)
        named = self.yield_name()
        hands_on = self.parsed("hands_on", parse_minutes, "a time")
        total = self.parsed("total", parse_minutes, "a time")
        if hands_on is not None and total is not None and hands_on > total:
            self.log.warn(
                self.place(self.entries["hands_on"][1]),
                "hands-on-above-total",
                f"expected 'hands_on' within the total of {total:g} min, found {hands_on:g} min",
                "'total' is the whole time, hands-on work included: correct one of the two",
            )
        return RecipePage(
            slug=self.slug(),
            title=self.title(),
            summary=self.text("summary"),
            portions=self.portions(),
            rows=rows,
            intro=intro.strip("\n"),
            method=method,
            method_line=text.count("\n", 0, outer) + 1,
            place=Place(self.file, 1),
            lines={name: key.line for name, (key, _) in entries.items()},
            meals=self.texts("meals"),
            tags=self.texts("tags"),
            claims=self.texts("claims"),
            hands_on_min=hands_on,
            total_min=total,
            finished_g=self.parsed("finished_weight", parse_grams, "a weight"),
            yield_factor=None if named else self.number("yield", 0.1, 10, YIELD_HINT),
            yield_name=named,
            keeps=self.keeps(),
            photo=self.photo(),
            photo_alt=self.text("photo_alt", 300),
            published=self.iso_date("published"),
            declared=self.statements("declared", "diet"),
            cautions=self.texts("cautions"),
            silenced=self.statements("silence", "caution"),
            intro_line=body_line + len(intro) - len(intro.lstrip("\n")),
            steps=steps,
        )

    def yield_name(self) -> str:
        """The name of a typical yield ('stew') where `yield` is a word; '' where it is a number or absent."""
        entry = self.mapping.entries.get("yield")
        node = None if entry is None else entry[1]
        word = node.text.strip() if isinstance(node, Scalar) else ""
        return word if word[:1].isalpha() else ""

    def title(self) -> str:
        entry = self.entries.get("title")
        before = len(self.log)
        title = self.text("title", 200)
        if not title and len(self.log) == before:
            if entry is None:
                _missing(self.file, self.log, "title", "the page's title")
            else:
                self.problem(entry[0], "no-title", "expected the page's title, found nothing", "title: Squash tray")
        return title

    def slug(self) -> str:
        node = self.scalar("slug", "a slug")
        slug = self.file.rpartition("/")[2].removesuffix(".md") if node is None else node.text.strip()
        if len(slug) <= 100 and _SLUG.fullmatch(slug):
            return slug
        better = "-".join(re.findall(r"[a-z0-9]+", _bare(slug)))[:100].strip("-")
        where = Place(self.file, 1) if node is None else self.place(node)
        what = f"the file name '{short(slug)}'" if node is None else f"'{short(slug)}'"
        self.log.error(
            where,
            "bad-slug",
            f"expected a slug of small letters, digits and single hyphens, found {what}",
            f"write 'slug: {better}'" if better else "add a slug, as in 'slug: squash-tray'",
        )
        return ""

    def portions(self) -> float:
        if self.node("portions") is None:
            entry = self.entries.get("portions")
            if entry is None:
                _missing(self.file, self.log, "portions", "the number of portions")
            else:
                self.problem(entry[0], "no-portions", "expected the number of portions, found nothing", "portions: 4")
            return 1.0
        return self.number("portions", 0, 10_000, "how many people one batch serves, above 0", above=True) or 1.0

    def keeps(self) -> Keeps:
        node = self.node("keeps")
        if node is None:
            return Keeps()
        if not isinstance(node, Mapping):
            self.problem(
                node,
                "wrong-type",
                f"expected a mapping for 'keeps', found {described(node)}",
                "keeps: {fridge: 3 days, freezer: 2 months}",
            )
            return Keeps()
        inner = Fields(node, self.file, self.log)
        inner.only(("fridge", "freezer"), "keeps")
        return Keeps(inner.parsed("fridge", parse_days, "days"), inner.parsed("freezer", parse_days, "days"))

    def photo(self) -> str:
        photo = self.text("photo", 300)
        if not photo:
            return ""
        path = PurePosixPath(photo)
        if path.is_absolute() or ".." in path.parts or "\\" in photo or _SCHEME.match(photo):
            self.problem(
                self.entries["photo"][1],
                "bad-path",
                f"expected a file inside the hub, found '{short(photo)}'",
                "copy the picture into photos/ and write photo: photos/name.jpg",
            )
            return ""
        return str(path)

    def statements(self, key: str, name: str) -> tuple[Statement, ...]:
        """A list of {name, reason}; both must be said."""
        node = self.node(key)
        if node is None:
            return ()
        example = f"{key}: [{{{name}: ..., reason: ...}}]"
        if not isinstance(node, Sequence):
            self.problem(node, "wrong-type", f"expected a list for '{key}', found {described(node)}", example)
            return ()
        found: list[Statement] = []
        for item in node.items:
            if not isinstance(item, Mapping):
                self.problem(
                    item, "wrong-type", f"expected {name} and reason in '{key}', found {described(item)}", example
                )
                continue
            inner = Fields(item, self.file, self.log)
            inner.only((name, "reason"), key)
            what, reason = inner.text(name, 120), inner.text("reason", 1000)
            for said, missing in ((what, name), (reason, "reason")):
                if not said:
                    self.problem(item, "no-reason", f"expected a {missing} in '{key}', found none", example)
            if what and reason:
                found.append(Statement(what, reason, self.place(item)))
        return tuple(found)
