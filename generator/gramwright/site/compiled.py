"""Compiled templates that outlive the process. Takes a folder, gives Jinja2's cache of byte code in it.

Compiling a theme's templates takes longer than to publish one page. What a template is compiled to holds the
theme's words and the templates that it includes, so the folder belongs to one state of program, theme and settings:
whoever names it puts a digest of those into its name. Every file carries a digest of itself and is ignored when that
does not fit: byte code is never run from a damaged file.
"""

from __future__ import annotations

import hashlib
import os
from pathlib import Path

from jinja2.bccache import Bucket, BytecodeCache

_DIGEST = 16


class CompiledTemplates(BytecodeCache):
    """One file a template, written beside its place and put there in one step."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder

    def load_bytecode(self, bucket: Bucket) -> None:
        try:
            data = self._file(bucket).read_bytes()
        except OSError:
            return
        if _digest(data[_DIGEST:]) == data[:_DIGEST]:
            bucket.bytecode_from_string(data[_DIGEST:])

    def dump_bytecode(self, bucket: Bucket) -> None:
        """Where the folder cannot be written, templates are compiled anew each time, that is all."""
        data = bucket.bytecode_to_string()
        file = self._file(bucket)
        beside = file.with_name(f"{file.name}.{os.getpid()}")
        try:
            self._folder.mkdir(parents=True, exist_ok=True)
            beside.write_bytes(_digest(data) + data)
            beside.replace(file)
        except OSError:
            return

    def _file(self, bucket: Bucket) -> Path:
        return self._folder / bucket.key


def _digest(data: bytes) -> bytes:
    return hashlib.blake2b(data, digest_size=_DIGEST).digest()
