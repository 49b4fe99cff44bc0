"""Bytes to text: size, encoding, line ends."""

from __future__ import annotations

from pathlib import Path

import pytest

from gramwright.problems import ProblemLog
from gramwright.reading import files


def test_a_page_of_fifty_megabytes_is_refused_before_it_is_read(tmp_path: Path) -> None:
    page = tmp_path / "huge.md"
    with page.open("wb") as out:
        out.truncate(50_000_000)
    log = ProblemLog()
    assert files.read(page, "recipes/huge.md", log) is None
    assert [(p.code, p.place.file, p.place.line) for p in log] == [("too-large", "recipes/huge.md", 0)]
    assert "50.0 MB" in log.problems[0].message


def test_bytes_of_fifty_megabytes_are_refused() -> None:
    log = ProblemLog()
    assert files.decode(b"x" * 50_000_000, "recipes/huge.md", log) is None
    assert [problem.code for problem in log] == ["too-large"]


@pytest.mark.parametrize(
    ("data", "line", "column", "code"),
    [
        (b"abc\n\xff", 2, 1, "not-utf8"),
        ("é".encode() + b"\xe8", 1, 2, "not-utf8"),
        (b"\xef\xbb\xbfab\x80", 1, 3, "not-utf8"),
        (b"\xfe\xff\x00a", 1, 1, "not-utf8"),
        (b"a\nb\x00c", 2, 2, "control-character"),
        (b"\x1b[31m", 1, 1, "control-character"),
    ],
)
def test_what_is_no_text_is_located(data: bytes, line: int, column: int, code: str) -> None:
    log = ProblemLog()
    assert files.decode(data, "page.md", log) is None
    assert [(p.place.line, p.place.column, p.code) for p in log] == [(line, column, code)]


def test_line_ends_and_byte_order_mark() -> None:
    assert files.decode(b"\xef\xbb\xbfa\r\nb\rc\n", "page.md", ProblemLog()) == "a\nb\nc\n"


def test_a_missing_file_is_the_machines_trouble(tmp_path: Path) -> None:
    with pytest.raises(OSError):
        files.read(tmp_path / "none.md", "none.md", ProblemLog())
