"""The publishing tests' fixtures."""

from tests.publishing.hub_make import hub, run

__all__ = ["hub", "run"]
