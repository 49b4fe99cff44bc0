"""The rooms' rules: imports go one way, the arithmetic knows no page and no screen, files stay short."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

PACKAGE = Path(__file__).resolve().parent.parent / "generator" / "gramwright"

ORDER = [
    "problems",
    "model",
    "resources",
    "reading",
    "composition",
    "nutrition",
    "labelling",
    "prep",
    "site",
    "publishing",
    "telling",
    "cli",
    "__main__",
]
"""A room may import rooms before it only."""

WITHOUT_PAGES = {"problems", "model", "composition", "nutrition", "labelling"}
PAGE_LIBRARIES = {"jinja2", "markdown_it", "PIL", "argparse"}

FILES = sorted(PACKAGE.rglob("*.py"))


def room_of(path: Path) -> str:
    return path.relative_to(PACKAGE).parts[0].removesuffix(".py")


def imported(path: Path) -> set[str]:
    names: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names.update(alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: relative import"
            names.add(node.module or "")
            names.update(f"{node.module}.{alias.name}" for alias in node.names)
    return names


@pytest.mark.parametrize("path", FILES, ids=lambda p: str(p.relative_to(PACKAGE)))
def test_imports_go_one_way(path: Path) -> None:
    room = room_of(path)
    if room == "__init__":
        return
    mine = ORDER.index(room)
    for name in imported(path):
        parts = name.split(".")
        if parts[0] == "gramwright" and len(parts) > 1 and parts[1] in ORDER:
            assert ORDER.index(parts[1]) <= mine, f"{room} imports {name}"
        if room in WITHOUT_PAGES:
            assert parts[0] not in PAGE_LIBRARIES, f"{room} imports {name}"


@pytest.mark.parametrize("path", FILES, ids=lambda p: str(p.relative_to(PACKAGE)))
def test_files_stay_short(path: Path) -> None:
    assert len(path.read_text(encoding="utf-8").splitlines()) <= 450


def test_only_the_command_line_prints_and_exits() -> None:
    for path in FILES:
        if room_of(path) in {"telling", "cli", "__main__"}:
            continue
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call):
                called = ast.unparse(node.func)
                assert called not in {"print", "sys.exit", "exit", "os._exit"}, f"{path.name} calls {called}"
