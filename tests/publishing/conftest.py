"""The publishing tests' fixtures."""

from conftest_publishing import hub, run

__all__ = ["hub", "run"]
