"""Takes a hub and its published site, gives what the next publish would change, figure by figure: recipes and plans."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import Any, NamedTuple

from gramwright.problems import Problem, ProblemLog, Severity, Trouble
from gramwright.publishing.build import output_folder
from gramwright.publishing.changes import Change, change, in_order
from gramwright.publishing.hub import scan
from gramwright.publishing.kitchen import open_kitchen, read_hub_settings
from gramwright.publishing.plan import slugs_of
from gramwright.publishing.plan_changes import plan_changes
from gramwright.publishing.plans import plan_facts
from gramwright.publishing.weigh import weigh
from gramwright.site.pages import report
from gramwright.site.theme import Theme


class Compared(NamedTuple):
    """Both states set side by side."""

    title: str
    changes: list[Change]
    recipes: int
    problems: list[Problem]
    plans: Sequence[Change] = ()

    @property
    def everything(self) -> list[Change]:
        """Recipes and plans, weightiest first."""
        return in_order([*self.changes, *self.plans])

    def as_json(self) -> dict[str, Any]:
        return {
            "recipes": self.recipes,
            "changes": [change.as_json() for change in self.changes],
            "plans": [change.as_json() for change in self.plans],
            "problems": [problem.as_json() for problem in self.problems],
        }

    @property
    def has_errors(self) -> bool:
        return any(problem.severity is Severity.ERROR for problem in self.problems)


def compare(
    root: Path,
    today: date,
    *,
    out: Path | None = None,
    least: float = 0.0,
    progress: Callable[[int, int], None] | None = None,
) -> Compared:
    """The published figures against those of the present content; recipes with errors are in `problems`.

    `least`: relative change of a figure below which it does not count. Raises Trouble 'no-hub', 'not-published'.
    """
    hub = scan(root)
    out = output_folder(root, out)
    before = published_facts(out)
    log = ProblemLog()
    kitchen = open_kitchen(hub, today, log)
    if kitchen is None:
        return Compared("", [], 0, log.sorted())
    slugs = slugs_of(hub, None, log)
    after = {one.slug: one.facts for one in weigh(kitchen, slugs, sorted(slugs.values()), log, progress)}
    found = [
        one
        for slug in dict.fromkeys((*after, *(slug for slug in before if slug not in slugs)))
        if (one := change(before.get(slug), after.get(slug), least)) is not None
    ]
    plans = plan_changes(published_facts(out, "plans"), _as_published(plan_facts(kitchen, log)), least)
    return Compared(kitchen.settings.title, in_order(found), len(after), log.sorted(), in_order(plans))


def _as_published(facts: Mapping[str, Mapping[str, Any]]) -> dict[str, Mapping[str, Any]]:
    """The facts as JSON gives them back."""
    return {slug: json.loads(json.dumps(one)) for slug, one in facts.items()}


def published_facts(out: Path, kind: str = "recipes") -> dict[str, Mapping[str, Any]]:
    """slug -> facts.json of every published recipe or plan. Raises Trouble 'not-published', 'facts-damaged'."""
    folder = out / kind
    if not folder.is_dir() and kind == "recipes":
        raise Trouble(
            "not-published", f"expected a published site in {out}, found none", "gramwright publish HUB first"
        )
    found: dict[str, Mapping[str, Any]] = {}
    for path in sorted(folder.glob("*/facts.json")):
        try:
            found[path.parent.name] = json.loads(path.read_bytes())
        except ValueError as error:
            raise Trouble(
                "facts-damaged", f"expected JSON in {path}, found something else ({error})", "publish again with --all"
            ) from error
    return found


def write_page(root: Path, compared: Compared, file: Path) -> None:
    """The report as one HTML file that needs nothing beside it. Raises Trouble 'no-page' when hub.yaml is broken."""
    hub = scan(root)
    settings = read_hub_settings(hub, ProblemLog())
    if settings is None:
        raise Trouble(
            "no-page", "expected settings that can be read, found problems in hub.yaml", "gramwright proof HUB"
        )
    changes = [
        report.RecipeChange(
            one.title,
            one.kind,
            tuple(consequence.text for consequence in one.consequences),
            tuple(
                report.FigureLine(shift.key, shift.before, shift.after, shift.person, shift.day) for shift in one.shifts
            ),
            one.what,
        )
        for one in compared.everything
    ]
    file.parent.mkdir(parents=True, exist_ok=True)
    file.write_bytes(report.render(Theme(settings, root), compared.recipes, changes))
