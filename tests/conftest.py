"""Rules for the whole suite: where the reference handbook is, and no skip that hides on CI."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
REFERENCE = ROOT.parent / "shared" / "reference"


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Tests that need the reference handbook are left out only where it does not lie beside the checkout."""
    if REFERENCE.is_dir():
        return
    reason = f"the reference handbook is not at {REFERENCE}"
    for item in items:
        if item.get_closest_marker("reference"):
            item.add_marker(pytest.mark.skip(reason=reason))


@pytest.hookimpl(hookwrapper=True)
def pytest_runtest_makereport(item: pytest.Item, call: pytest.CallInfo[None]):  # type: ignore[no-untyped-def]
    """On CI a skipped test fails, unless it needs the absent handbook."""
    outcome = yield
    report = outcome.get_result()
    if report.skipped and os.environ.get("CI") and not item.get_closest_marker("reference"):
        report.outcome = "failed"
        report.longrepr = f"{item.nodeid} was skipped on CI: {report.longrepr}"


@pytest.fixture(scope="session")
def reference() -> Path:
    """The folder of the reference handbook."""
    return REFERENCE
