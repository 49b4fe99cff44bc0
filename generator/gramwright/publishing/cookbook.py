"""Takes a kitchen and the list of recipes, gives computed dishes: sub-recipes to any depth, cycles found."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field

from gramwright.composition.resolve import resolve
from gramwright.model import Dish, RecipePage
from gramwright.nutrition.dish import compute
from gramwright.problems import Place, ProblemLog, Trouble, near
from gramwright.publishing.kitchen import Kitchen
from gramwright.publishing.needs import Trace
from gramwright.publishing.tree import digest
from gramwright.reading.files import decode
from gramwright.reading.pages import read_draft


@dataclass(slots=True)
class Cookbook:
    """Reads and computes recipes on demand; what another recipe needs is computed once."""

    kitchen: Kitchen
    slugs: Mapping[str, str]
    """slug -> file, of every recipe of the hub."""
    _inner: dict[str, tuple[Dish, Trace]] = field(default_factory=dict)
    _open: list[str] = field(default_factory=list)
    _traces: list[Trace] = field(default_factory=list)

    @contextmanager
    def trace(self) -> Iterator[Trace]:
        """Notes everything that is asked for until the end of the block; an outer trace includes an inner one."""
        mine = Trace()
        self._traces.append(mine)
        heard = self.kitchen.table.listen(mine.asked)
        try:
            yield mine
        finally:
            self.kitchen.table.listen(heard)
            self._traces.pop()
            if self._traces:
                self._traces[-1].include(mine)

    def page(self, file: str, data: bytes, log: ProblemLog) -> RecipePage | None:
        """Reads one recipe's bytes as far as that goes; None when nothing can be made of them."""
        text = decode(data, file, log)
        if text is None:
            return None
        page = read_draft(text, file, log)
        if page is not None and self._traces:
            self._traces[-1].sources[page.slug] = digest(data)
        if page is not None and not log.has_errors and self.slugs.get(page.slug) != file:
            log.error(
                Place(file, page.lines.get("slug", 1)),
                "slug-form",
                f"expected the slug on a line of its own ('slug: name'), found '{page.slug}' written another way",
                f"write 'slug: {page.slug}' without quotes, tags or line breaks",
            )
            return None
        return page

    def dish(self, page: RecipePage, log: ProblemLog) -> Dish | None:
        """Resolves and computes a page; None when its log (reading it included) has errors."""
        kitchen = self.kitchen
        self._open.append(page.slug)
        try:
            ingredients = resolve(page, kitchen.table, kitchen.system, log, self.inner)
            if ingredients is None or log.has_errors:
                return None
            return compute(page, ingredients, kitchen.books, log)
        finally:
            self._open.pop()

    def inner(self, slug: str) -> Dish:
        """The dish that another recipe uses as an ingredient.

        Raises Trouble 'unknown-recipe', 'recipe-cycle' or 'recipe-broken' (its own problems are reported at it).
        """
        if slug in self._open:
            circle = [*self._open[self._open.index(slug) :], slug]
            raise Trouble(
                "recipe-cycle",
                f"expected recipes that end in foods, found a circle: {' -> '.join(circle)}",
                "take one of these rows out, or weigh its foods instead",
            )
        known = self._inner.get(slug)
        if known is not None:
            if self._traces:
                self._traces[-1].include(known[1])
            return known[0]
        file = self.slugs.get(slug)
        if file is None:
            close = near(slug, self.slugs)
            raise Trouble(
                "unknown-recipe",
                f"expected the slug of a recipe of this hub, found '{slug}'",
                f"did you mean {', '.join(close)}?" if close else "the slug is the recipe's file name without .md",
            )
        log = ProblemLog()
        with self.trace() as trace:
            page = self.page(file, self.kitchen.hub.read(file), log)
            dish = None if page is None else self.dish(page, log)
        if dish is None:
            for problem in log:
                if problem.code == "recipe-cycle":
                    raise Trouble(problem.code, problem.message, problem.hint)
            raise Trouble(
                "recipe-broken",
                f"expected a recipe that can be computed, found problems in {file}",
                f"mend the problems listed for {file} first",
            )
        self._inner[slug] = (dish, trace)
        return dish
