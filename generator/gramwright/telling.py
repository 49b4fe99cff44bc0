"""Takes problems and answers, gives what a person or a program reads: the one place that writes to standard output."""

from __future__ import annotations

import contextlib
import io
import json
import os
import sys
from collections.abc import Callable, Sequence
from typing import Any

from gramwright.problems import Problem, Severity


def tell(as_json: bool, data: dict[str, Any], lines: Sequence[str]) -> bool:
    """Prints an answer; False when it could not be printed, which standard error then says."""
    text = json.dumps(data, ensure_ascii=False, indent=1) if as_json else "\n".join(lines)
    if sys.stdout is None:
        if text:
            aside("gramwright: expected an open standard output, found it closed; the answer is lost")
        return not text
    try:
        if text:
            print(text)
        sys.stdout.flush()
    except BrokenPipeError:
        _give_up()
        return False
    except OSError as error:
        _give_up()
        aside(f"gramwright: standard output could not be written ({error.strerror or error}); the answer is lost")
        return False
    return True


def aside(text: str) -> None:
    """A line on standard error, where there is one."""
    if sys.stderr is not None:
        with contextlib.suppress(OSError):
            print(text, file=sys.stderr, flush=True)


def any_letters() -> None:
    """Lets a terminal of few letters show '?' for the rest instead of ending the command."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")


def _give_up() -> None:
    """What is still held back goes nowhere, so that the end of the process does not fail over it again."""
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, sys.stdout.fileno())
    os.close(nowhere)


def problem_lines(problems: Sequence[Problem]) -> list[str]:
    """Every problem with its place, and its way out below."""
    lines = []
    for problem in problems:
        place = str(problem.place)
        lines.append(f"{place + '  ' if place else ''}{problem.severity.value}: {problem.message} [{problem.code}]")
        if problem.hint:
            lines.append(f"    way out: {problem.hint}")
    return lines


def counted(problems: Sequence[Problem]) -> str:
    """'2 errors, 1 warning'."""
    errors = sum(problem.severity is Severity.ERROR for problem in problems)
    warnings = len(problems) - errors
    if not problems:
        return "no problems"
    parts = [f"{errors} error{'s' if errors != 1 else ''}"] if errors else []
    parts += [f"{warnings} warning{'s' if warnings != 1 else ''}"] if warnings else []
    return ", ".join(parts)


def progress(what: str) -> Callable[[int, int], None] | None:
    """A line on the terminal that grows with the work; nothing when the output goes to a file."""
    if sys.stderr is None or not sys.stderr.isatty():
        return None

    def show(done: int, total: int) -> None:
        if total < 20:
            return
        filled = 30 * done // total
        end = "\n" if done == total else ""
        sys.stderr.write(f"\r{what} [{'=' * filled}{' ' * (30 - filled)}] {done} of {total}{end}")
        sys.stderr.flush()

    return show
