"""Python's collector of circular garbage, held back where next to everything that is made is kept."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def few_collections(*, freeze: bool = False) -> Iterator[None]:
    """Tables, templates and records live as long as the process: the collector need not walk them every few pages.

    `freeze`: what is there now is passed over altogether, so that processes forked from this one share it.
    """
    before = gc.get_threshold()
    if freeze:
        gc.collect()
        gc.freeze()
    gc.set_threshold(50_000, 20, 100)
    try:
        yield
    finally:
        gc.set_threshold(*before)
        if freeze:
            gc.unfreeze()
