"""YAML with places: lines and columns, no aliases, and nothing that a hostile page can blow up."""

from __future__ import annotations

import time

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from gramwright.problems import ProblemLog
from gramwright.reading.yaml_nodes import Mapping, Node, Scalar, Sequence, parse


def read(text: str, first_line: int = 1) -> tuple[Node | None, ProblemLog]:
    log = ProblemLog()
    return parse(text, "page.md", log, first_line), log


def test_every_key_and_value_knows_its_line_and_column() -> None:
    node, log = read("title: Tray\nkeeps: {fridge: 3 days}\ntags:\n  - one tray\n  - 'two'\n", first_line=10)
    assert not len(log)
    assert isinstance(node, Mapping)
    title = node.get("title")
    assert isinstance(title, Scalar)
    assert (title.text, title.line, title.column, title.plain) == ("Tray", 10, 8, True)
    keeps = node.get("keeps")
    assert isinstance(keeps, Mapping)
    key, value = keeps.entries["fridge"]
    assert isinstance(value, Scalar)
    assert (key.line, key.column) == (11, 9)
    assert (value.text, value.line, value.column) == ("3 days", 11, 17)
    tags = node.get("tags")
    assert isinstance(tags, Sequence)
    assert [(item.line, item.column) for item in tags.items] == [(13, 5), (14, 5)]
    assert isinstance(tags.items[1], Scalar)
    assert not tags.items[1].plain


def test_words_stay_words() -> None:
    """YAML 1.1 would make false, 90 and a date of these."""
    node, _ = read("a: no\nb: 1:30\nc: 2025-03-31\nd: 0x10\ne:\nf: ''\n")
    assert isinstance(node, Mapping)
    texts = {name: value.text for name, _, value in node.items() if isinstance(value, Scalar)}
    assert texts == {"a": "no", "b": "1:30", "c": "2025-03-31", "d": "0x10", "e": "", "f": ""}
    empty, quoted = node.get("e"), node.get("f")
    assert isinstance(empty, Scalar)
    assert isinstance(quoted, Scalar)
    assert empty.empty
    assert not quoted.empty


@pytest.mark.parametrize("text", ["", "# nothing\n", "\n\n"])
def test_an_empty_document_is_nothing_and_no_problem(text: str) -> None:
    node, log = read(text)
    assert node is None
    assert not len(log)


def test_an_alias_bomb_is_refused_before_it_grows() -> None:
    lines = ["a0: &a0 [x, x, x, x, x, x, x, x, x, x]"]
    lines += [f"a{n}: &a{n} [" + ", ".join([f"*a{n - 1}"] * 10) + "]" for n in range(1, 30)]
    start = time.perf_counter()
    node, log = read("\n".join(lines))
    assert time.perf_counter() - start < 1
    assert node is None
    assert [problem.code for problem in log] == ["yaml-alias"]


@pytest.mark.parametrize("text", ["[" * 500_000, "{a: " * 200_000, "- " * 200_000, "a: [" * 1000 + "]" * 1000])
def test_endless_nesting_is_refused_at_once(text: str) -> None:
    start = time.perf_counter()
    _, log = read(text)
    assert time.perf_counter() - start < 5
    assert len(log)
    assert log.problems[0].code in {"yaml-too-deep", "yaml"}


@given(st.text("ab:-[]{}#&*!|>'\"%@`,? \n\t", max_size=40))
def test_any_text_gives_nodes_or_problems_never_an_exception(text: str) -> None:
    node, log = read(text)
    for problem in log:
        assert problem.place.line >= 1
        assert "expected" in problem.message
        assert problem.hint
    try:
        plain = yaml.load(text, yaml.CBaseLoader)
    except (yaml.YAMLError, TypeError):
        return  # PyYAML refuses it too, or cannot hash a key
    if not len(log):
        assert as_plain(node) == plain


def as_plain(node: Node | None) -> object:
    """As PyYAML's loader without types would give it."""
    if node is None:
        return None
    if isinstance(node, Scalar):
        return node.text
    if isinstance(node, Sequence):
        return [as_plain(item) for item in node.items]
    return {name: as_plain(value) for name, _, value in node.items()}
