"""The command line: with `telling`, which says its answers, the only room that prints and exits.

Exit codes: 0 fine, 1 the content has problems, 2 wrong usage, 3 the machine failed (disk, permission, a port or a
hub that is in use), 130 stopped by Ctrl-C.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable, Sequence
from datetime import date
from pathlib import Path
from typing import Any

from gramwright import __version__
from gramwright.problems import Place, Problem, Severity, Trouble
from gramwright.reading.targets import TARGET_KEYS
from gramwright.telling import any_letters, aside, counted, problem_lines, progress, tell

FINE, PROBLEMS, USAGE, MACHINE, STOPPED = 0, 1, 2, 3, 130

Answer = tuple[int, dict[str, Any], list[str]]
"""(exit code, what --format json prints, the lines --format text prints)."""

Command = Callable[[argparse.Namespace], Answer]

USAGE_CODES = {
    "no-targets",
    "unknown-target",
    "bad-rows",
    "unknown-row",
    "no-optimiser",
    "no-hub",
    "not-empty",
    "output-is-a-file",
    "output-in-hub",
    "unknown-layout",
    "no-file",
    "bad-target",
    "bad-weight",
    "target-exists",
    "no-cluster-extra",
    "other-product",
    "bad-assignment",
    "given-twice",
    "no-reason",
    "unknown-component",
    "not-as-printed",
    "wrong-unit",
}
"""Troubles that say the command was called wrongly, not that the content is wrong."""

MACHINE_CODES = {"no-scheduler", "no-workers", "workers-lost", "port-taken", "publish-running"}
"""Troubles of the machines."""


def main(arguments: Sequence[str] | None = None) -> int:
    """Runs one command; gives its exit code."""
    any_letters()
    options = _parser().parse_args(arguments)
    command: Command = options.run
    try:
        code, data, lines = command(options)
    except Trouble as trouble:
        problem = trouble.at(Place(str(getattr(options, "hub", None) or "")))
        data, lines = {"problems": [problem.as_json()]}, problem_lines([problem])
        code = USAGE if trouble.code in USAGE_CODES else MACHINE if trouble.code in MACHINE_CODES else PROBLEMS
    except KeyboardInterrupt:
        aside("gramwright: stopped by Ctrl-C; a site, a table or a recipe is only ever replaced whole")
        return STOPPED
    except OSError as exc:
        problem = Problem(
            Severity.ERROR,
            "machine",
            f"the machine refused: {exc.strerror or exc}",
            "look at the disk's space and the folder's permissions; the published site was left as it was",
            Place(str(exc.filename or "")),
        )
        data, lines, code = {"problems": [problem.as_json()]}, problem_lines([problem]), MACHINE
    return code if tell(options.format == "json", data, lines) else MACHINE


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="gramwright", description="Weighed recipes in, a published hub out, every figure traceable."
    )
    parser.add_argument("--version", action="version", version=f"gramwright {__version__}")
    commands = parser.add_subparsers(metavar="COMMAND", required=True)

    start = _command(commands, "start", _start, "make a new hub that publishes at once")
    start.add_argument("hub", metavar="DIR", type=Path)

    proof = _command(commands, "proof", _proof, "read and compute everything, write nothing, list every problem")
    proof.add_argument("hub", metavar="HUB", type=Path)
    proof.add_argument("--workers", type=_count, default=None, help="processes to compute with")

    proof.add_argument("--allergens", action="store_true", help="every recipe by allergen and state")
    proof.add_argument("--why", nargs=2, metavar=("RECIPE", "ALLERGEN"), help="why a recipe has an allergen's state")

    publish = _command(commands, "publish", _publish, "bring the published site up to date")
    publish.add_argument("hub", metavar="HUB", type=Path)
    publish.add_argument("--out", type=Path, default=None, help="where the site goes (default: HUB/published)")
    publish.add_argument("--workers", type=_count, default=None, help="processes to compute with")
    publish.add_argument(
        "--scheduler", metavar="ADDRESS", default=None, help="make pages on a Dask scheduler's workers"
    )
    publish.add_argument("--all", action="store_true", help="make every page anew")

    preview = _command(commands, "preview", _preview, "serve the hub on the loopback address, refresh as files change")
    preview.add_argument("hub", metavar="HUB", type=Path)
    preview.add_argument("--port", type=_port, default=None, help="where to listen (default: 8377)")

    correct = _command(commands, "correct", _correct, "correct a figure of a food, log it, say what changes")
    correct.add_argument("hub", metavar="HUB", type=Path)
    correct.add_argument("food", metavar="FOOD")
    correct.add_argument("assignments", metavar="TAG=VALUE", nargs="+")
    correct.add_argument("--reason", required=True, help="why; published on the corrections page")
    correct.add_argument("--source", default="", help="where the new figure stands")
    correct.add_argument("--dry-run", action="store_true", help="say what would change, write nothing")

    compare = _command(commands, "compare", _compare, "what the next publish would change, figure by figure")
    compare.add_argument("hub", metavar="HUB", type=Path)
    compare.add_argument("--out", type=Path, default=None, help="where the site is (default: HUB/published)")
    compare.add_argument(
        "--least", type=_share, default=0.0, help="smallest change of a figure that counts, in per cent"
    )
    compare.add_argument("--page", type=Path, default=None, help="also write the report as a page to send to somebody")

    tune = _command(commands, "tune", _tune, "the smallest change of a recipe that meets targets per portion")
    tune.add_argument("hub", metavar="HUB", type=Path)
    tune.add_argument("recipe", metavar="RECIPE", help="its slug")
    for key in TARGET_KEYS:
        tune.add_argument(f"--{key}", metavar="FROM..TO", help="as in 35.., ..450 or 400..450")
    tune.add_argument("--rows", metavar="FOOD[=MIN-MAX[/STEP]]", nargs="+", action="extend", default=[])
    tune.add_argument("--finished-weight", metavar="FROM..TO", help="grams of the whole batch that are never left")
    tune.add_argument("--write", action="store_true", help="put the new amounts into the recipe")

    foods = commands.add_parser("foods", help="the food composition table")
    actions = foods.add_subparsers(metavar="ACTION", required=True)
    find = _command(actions, "find", _foods_find, "list the foods whose names match")
    find.add_argument("text", metavar="TEXT")
    find.add_argument("hub", metavar="HUB", type=Path, nargs="?", default=None)
    show = _command(actions, "show", _foods_show, "show one food: figures, measures, allergens, source")
    show.add_argument("food", metavar="FOOD")
    show.add_argument("hub", metavar="HUB", type=Path, nargs="?", default=None)
    audit = _command(actions, "audit", _foods_audit, "check the table's figures, ranked by what they could move")
    audit.add_argument("hub", metavar="HUB", type=Path, nargs="?", default=None)
    bring = _command(actions, "import", _foods_import, "read a public food table into a table of ours")
    bring.add_argument("layout", metavar="LAYOUT", help="usda-fdc, ifct2017, or a mapping file (.yaml)")
    bring.add_argument("file", metavar="FILE", type=Path, help="the table, or the folder with its files")
    bring.add_argument("--into", metavar="CSV", type=Path, required=True, help="the foods table to write")
    bring.add_argument("--measures", metavar="CSV", type=Path, default=None, help="where household measures go")
    return parser


def _command(commands: Any, name: str, run: Command, text: str) -> argparse.ArgumentParser:
    parser: argparse.ArgumentParser = commands.add_parser(name, help=text, description=text)
    parser.add_argument("--format", choices=("text", "json"), default="text")
    parser.set_defaults(run=run)
    return parser


def _count(text: str) -> int:
    if not text.isdecimal() or int(text) < 1:
        raise argparse.ArgumentTypeError(f"expected a whole number from 1, found '{text}'")
    return int(text)


def _port(text: str) -> int:
    if not text.isdecimal() or not 1 <= int(text) <= 65535:
        raise argparse.ArgumentTypeError(f"expected a port from 1 to 65535, found '{text}'")
    return int(text)


def _share(text: str) -> float:
    try:
        number = float(text)
    except ValueError:
        number = -1
    if not 0 <= number <= 100:
        raise argparse.ArgumentTypeError(f"expected a percentage from 0 to 100, found '{text}'")
    return number / 100


# ---------------------------------------------------------------- commands; each imports only what it needs


def _start(options: argparse.Namespace) -> Answer:
    from gramwright.publishing.newhub import start

    written = start(options.hub)
    lines = [f"made {options.hub} with {len(written)} files:", *(f"  {name}" for name in written)]
    lines += [f"next: gramwright publish {options.hub}"]
    return FINE, {"hub": str(options.hub), "created": written, "problems": []}, lines


def _proof(options: argparse.Namespace) -> Answer:
    if options.allergens or options.why:
        return _allergens(options)
    from gramwright.publishing.build import proof

    result = proof(options.hub, date.today(), workers=options.workers, progress=progress("reading"))
    code = PROBLEMS if result.has_errors else FINE
    lines = problem_lines(result.problems)
    lines.append(f"{result.recipes} recipes, {counted(result.problems)}")
    return code, {"recipes": result.recipes, "problems": [p.as_json() for p in result.problems]}, lines


def _allergens(options: argparse.Namespace) -> Answer:
    from gramwright.publishing.allergen_table import allergen_table, reasons, why_json, why_lines

    table = allergen_table(options.hub, date.today())
    code = PROBLEMS if table.has_errors else FINE
    problems = [p.as_json() for p in table.problems]
    if options.why:
        found = reasons(table, *options.why)
        return code, {**why_json(*found), "problems": problems}, [*problem_lines(table.problems), *why_lines(*found)]
    data = {"allergens": table.as_json(), "problems": problems}
    return code, data, [*problem_lines(table.problems), *table.as_lines()]


def _publish(options: argparse.Namespace) -> Answer:
    from gramwright.publishing.build import publish

    result = publish(
        options.hub,
        date.today(),
        out=options.out,
        workers=options.workers if options.scheduler is None else _cluster(options.scheduler),
        everything=options.all,
        progress=progress("publishing"),
    )
    pages = {"written": result.written, "unchanged": result.unchanged, "removed": result.removed}
    data = {
        "pages": pages,
        "recipes": result.recipes,
        "seconds": round(result.seconds, 3),
        "problems": [p.as_json() for p in result.problems],
    }
    lines = problem_lines(result.problems)
    if result.has_errors:
        lines.append(f"{counted(result.problems)}; the published site was left as it was")
        return PROBLEMS, data, lines
    lines.append(
        f"{result.recipes} recipes; pages: {result.written} written, {result.unchanged} unchanged, "
        f"{result.removed} removed; {result.seconds:.2f} s"
    )
    lines.append(f"the site is in {result.out}")
    return FINE, data, lines


def _cluster(address: str) -> Any:
    from gramwright.publishing.cluster import Cluster

    return Cluster(address)


def _preview(options: argparse.Namespace) -> Answer:
    import time

    from gramwright.publishing.preview import PORT, Preview

    with Preview(options.hub, options.port or PORT, aside) as running:
        aside(f"{running.address} shows {options.hub}; end it with Ctrl-C")
        try:
            while True:
                time.sleep(3600)
        except KeyboardInterrupt:
            return FINE, {"address": running.address, "problems": []}, []


def _correct(options: argparse.Namespace) -> Answer:
    from gramwright.publishing.correct import correct

    done = correct(
        options.hub,
        options.food,
        options.assignments,
        reason=options.reason,
        source=options.source,
        today=date.today(),
        dry_run=options.dry_run,
    )
    lines = [*done.as_lines(), *problem_lines(done.problems)]
    if done.refused:
        lines.append(f"the hub has errors {done.refused} the correction; nothing was written")
        return PROBLEMS, done.as_json(), lines
    changing = f"{len(done.changes)} recipes change" + (f", prep plans: {len(done.plans)}" if done.plans else "")
    lines.append(f"{changing}; " + ("written" if done.written else "nothing was written"))
    return FINE, done.as_json(), lines


def _compare(options: argparse.Namespace) -> Answer:
    from gramwright.publishing.changes import as_lines
    from gramwright.publishing.compare import compare, write_page

    found = compare(options.hub, date.today(), out=options.out, least=options.least, progress=progress("comparing"))
    lines = [*as_lines(found.everything), *problem_lines(found.problems)]
    lines.append(f"{len(found.changes)} of {found.recipes} recipes would change")
    if found.plans:
        lines.append(f"prep plans that would change: {len(found.plans)}")
    if options.page is not None:
        write_page(options.hub, found, options.page)
        lines.append(f"the report is in {options.page}")
    return (PROBLEMS if found.has_errors else FINE), found.as_json(), lines


def _tune(options: argparse.Namespace) -> Answer:
    from gramwright.publishing import tune_report
    from gramwright.publishing.tuning import tune_recipe

    targets = {key: text for key in TARGET_KEYS if (text := getattr(options, key)) is not None}
    result = tune_recipe(
        options.hub, options.recipe, targets, options.rows, date.today(), options.write, options.finished_weight
    )
    lines = [*tune_report.lines(result), *problem_lines(result.problems)]
    return (FINE if result.tuned.met else PROBLEMS), tune_report.as_json(result), lines


def _foods_find(options: argparse.Namespace) -> Answer:
    from gramwright.publishing.pantry import brief, open_pantry

    table, problems = open_pantry(options.hub, date.today())
    found = table.search(options.text)
    lines = problem_lines(problems)
    width = max((len(food.id) for food in found), default=0)
    lines += [f"{food.id:<{width}}  {food.name} ({food.state or 'state not said'})" for food in found]
    if not found:
        lines.append(f"no food matches '{options.text}'; try a shorter word")
    data = {"foods": [brief(food) for food in found], "problems": [p.as_json() for p in problems]}
    return (FINE if found else PROBLEMS), data, lines


def _foods_show(options: argparse.Namespace) -> Answer:
    from gramwright.publishing.pantry import full, open_pantry, sheet

    table, problems = open_pantry(options.hub, date.today())
    food = table.lookup(options.food)
    data = {"food": full(food), "problems": [p.as_json() for p in problems]}
    return FINE, data, [*problem_lines(problems), *sheet(food)]


def _foods_audit(options: argparse.Namespace) -> Answer:
    from gramwright.publishing.auditing import audit_hub

    result = audit_hub(options.hub, date.today())
    code = FINE if result.clean else PROBLEMS
    return code, result.as_json(), [*problem_lines(result.problems), *result.lines()]


def _foods_import(options: argparse.Namespace) -> Answer:
    from gramwright.publishing.importing import import_table

    result = import_table(
        options.layout, options.file, options.into, measures=options.measures, progress=progress("reading")
    )
    code = PROBLEMS if result.has_errors else FINE
    return code, result.as_json(), [*problem_lines(result.problems), *result.lines()]
