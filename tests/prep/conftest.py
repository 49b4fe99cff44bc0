"""The small hub of the publishing tests, for plans."""

from tests.publishing.hub_make import hub, run

__all__ = ["hub", "run"]
