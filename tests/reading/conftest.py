"""Property tests run without a deadline: a busy machine is no fault of theirs."""

from __future__ import annotations

from hypothesis import settings

settings.register_profile("no-deadline", deadline=None)
settings.load_profile("no-deadline")
