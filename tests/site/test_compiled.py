"""Compiled templates kept between processes: found again, never run when damaged."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import jinja2
import pytest

from gramwright.site.compiled import CompiledTemplates
from gramwright.site.templates import environment


@pytest.fixture
def templates(tmp_path: Path) -> Path:
    folder = tmp_path / "templates"
    folder.mkdir()
    (folder / "page.html").write_text("<p>{{ text }}</p>", encoding="utf-8")
    return folder


def render(templates: Path, compiled: Path) -> str:
    return environment([templates], CompiledTemplates(compiled)).get_template("page.html").render(text="a & b")


@pytest.fixture
def compilations(monkeypatch: pytest.MonkeyPatch) -> list[str | None]:
    """Names of the templates that were compiled."""
    names: list[str | None] = []
    real = jinja2.Environment.compile

    def compile(
        self: jinja2.Environment, source: str, name: str | None = None, *rest: object, **more: object
    ) -> object:
        names.append(name)
        return real(self, source, name, *rest, **more)  # type: ignore[call-overload]

    monkeypatch.setattr(jinja2.Environment, "compile", compile)
    return names


def test_a_template_is_compiled_once(templates: Path, tmp_path: Path, compilations: list[str | None]) -> None:
    for _ in range(3):
        assert render(templates, tmp_path / "compiled") == "<p>a &amp; b</p>"
    assert compilations == ["page.html"]
    assert len(list((tmp_path / "compiled").iterdir())) == 1


@pytest.mark.parametrize(
    "damage",
    [
        lambda data: b"",
        lambda data: data[:20],
        lambda data: data[:-3],
        lambda data: data[:40] + bytes([data[40] ^ 1]) + data[41:],
        lambda data: b"\0" * len(data),
    ],
    ids=["empty", "cut short", "end missing", "one bit", "zeros"],
)
def test_a_damaged_file_is_ignored_and_mended(
    templates: Path, tmp_path: Path, compilations: list[str | None], damage: Callable[[bytes], bytes]
) -> None:
    render(templates, tmp_path / "compiled")
    (file,) = (tmp_path / "compiled").iterdir()
    whole = file.read_bytes()
    file.write_bytes(damage(whole))
    assert render(templates, tmp_path / "compiled") == "<p>a &amp; b</p>"
    assert compilations == ["page.html", "page.html"]
    assert file.read_bytes() == whole


def test_a_changed_template_is_compiled_anew(templates: Path, tmp_path: Path) -> None:
    render(templates, tmp_path / "compiled")
    (templates / "page.html").write_text("<b>{{ text }}</b>", encoding="utf-8")
    assert render(templates, tmp_path / "compiled") == "<b>a &amp; b</b>"


def test_where_nothing_can_be_kept_pages_are_rendered_all_the_same(templates: Path, tmp_path: Path) -> None:
    (tmp_path / "compiled").write_bytes(b"a file, not a folder")
    assert render(templates, tmp_path / "compiled") == "<p>a &amp; b</p>"
