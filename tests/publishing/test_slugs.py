"""The slug of a recipe is found in its front matter however the file was saved."""

from __future__ import annotations

from pathlib import Path

import pytest

from gramwright.problems import ProblemLog
from gramwright.publishing.hub import scan
from gramwright.publishing.plan import slugs_of

PAGE = "---\ntitle: T\nslug: bee\nportions: 1\n---\n"


@pytest.mark.parametrize(
    "data",
    [
        PAGE.encode(),
        b"\xef\xbb\xbf" + PAGE.encode(),
        PAGE.replace("\n", "\r\n").encode(),
        PAGE.replace("\n", "\r").encode(),
        b"\xef\xbb\xbf" + PAGE.replace("\n", "\r").encode(),
        PAGE.replace("slug:", '"slug":').encode(),
        PAGE.replace("slug:", "'slug' :").encode(),
        PAGE.replace("bee", "'bee'  # short").encode(),
        ("\n" + PAGE).encode(),
    ],
)
def test_a_slug_is_found_however_the_file_was_saved(tmp_path: Path, data: bytes) -> None:
    (tmp_path / "hub.yaml").write_text("title: T\n", encoding="utf-8")
    (tmp_path / "recipes").mkdir()
    (tmp_path / "recipes" / "a.md").write_bytes(data)
    assert slugs_of(scan(tmp_path), None, ProblemLog()) == {"bee": "recipes/a.md"}
