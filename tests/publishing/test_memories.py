"""What a publish leaves for the next one's process: unit factors and compiled templates."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

from tests.publishing.hub_make import Hub

GENERATOR = Path(__file__).resolve().parents[2] / "generator"
PUBLISH = """
import sys
import jinja2
from gramwright.cli import main

compiled = []
real = jinja2.Environment.compile
jinja2.Environment.compile = lambda self, source, name, *rest: compiled.append(name) or real(self, source, name, *rest)
code = main(["publish", sys.argv[1], "--workers", "1"])
print("DONE", code, "pint" in sys.modules, len(compiled))
"""


def publish(hub: Hub) -> list[str]:
    """Publishes in a process of its own; gives the exit code, whether Pint was loaded, how many templates compiled."""
    done = subprocess.run(
        [sys.executable, "-c", PUBLISH, str(hub.root)],
        check=True,
        capture_output=True,
        text=True,
        env={**os.environ, "PYTHONPATH": str(GENERATOR)},
    )
    return done.stdout.splitlines()[-1].split()[1:]


def test_the_second_publish_neither_loads_pint_nor_compiles_templates(hub: Hub) -> None:
    code, pint, compiled = publish(hub)
    assert (code, pint) == ("0", "True")
    assert int(compiled) > 5
    hub.edit("recipes/porridge.md", "title: Porridge", "title: Porridge again")
    assert publish(hub) == ["0", "False", "0"]


def test_a_changed_theme_has_its_templates_compiled_and_the_old_ones_cleared_away(hub: Hub) -> None:
    publish(hub)
    (first,) = (hub.root / ".gramwright" / "templates").iterdir()
    hub.write("theme/words/en.yaml", "recipe:\n  method: The way\n")
    code, pint, compiled = publish(hub)
    assert (code, pint) == ("0", "False")
    assert int(compiled) > 5
    (second,) = (hub.root / ".gramwright" / "templates").iterdir()
    assert first.name != second.name
    assert b"The way" in (hub.site / "recipes/porridge/index.html").read_bytes()


def test_proof_leaves_nothing(hub: Hub) -> None:
    from gramwright.cli import main

    assert main(["proof", str(hub.root)]) == 0
    assert not (hub.root / ".gramwright").exists()
