"""Broken inputs are real files; one runner checks that every problem is found at its place, all in one run."""

from __future__ import annotations

import csv
from collections import defaultdict
from pathlib import Path

import pytest
from tests.reading.reading_make import BROKEN, read_broken

from gramwright.problems import Severity

Expected = list[tuple[int, int, str]]


def expectations() -> dict[str, Expected]:
    lines = (BROKEN / "expected.csv").read_text(encoding="utf-8").splitlines()
    found: dict[str, Expected] = defaultdict(list)
    for line in csv.DictReader(line for line in lines if not line.startswith("#")):
        found[line["file"]].append((int(line["line"]), int(line["column"]), line["code"]))
    return dict(found)


EXPECTED = expectations()
FILES = sorted(
    str(path.relative_to(BROKEN)) for path in BROKEN.rglob("*") if path.is_file() and path.name != "expected.csv"
)


def test_every_broken_file_has_an_expectation_and_the_other_way_round() -> None:
    assert sorted(EXPECTED) == FILES


@pytest.mark.parametrize("name", FILES)
def test_problems_are_exactly_those_expected(name: str) -> None:
    log, _ = read_broken(BROKEN / name)
    found = [(p.place.line, p.place.column, p.code) for p in log.sorted()]
    assert found == sorted(EXPECTED[name])


@pytest.mark.parametrize("name", FILES)
def test_problems_say_what_was_expected_what_was_found_and_a_way_out(name: str) -> None:
    log, _ = read_broken(BROKEN / name)
    for problem in log:
        assert problem.severity is Severity.ERROR
        assert problem.place.file == Path(name).name
        assert "expected" in problem.message, problem
        assert "found" in problem.message, problem
        assert problem.hint, problem
        assert "\n" not in problem.message


@pytest.mark.parametrize("name", [name for name in FILES if name.startswith(("pages/", "hubs/"))])
def test_nothing_is_read_from_a_page_or_hub_with_errors(name: str) -> None:
    assert read_broken(BROKEN / name)[1] is None


def test_good_lines_of_a_table_are_read_in_spite_of_bad_ones() -> None:
    _, foods = read_broken(BROKEN / "foods" / "cells.csv")
    assert isinstance(foods, list)
    assert [food.id for food in foods] == ["good"]
    _, measures = read_broken(BROKEN / "measures" / "cells.csv")
    assert isinstance(measures, list)
    assert [(line.measure, line.grams) for line in measures] == [("large", 50.0)]
