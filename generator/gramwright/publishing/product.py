"""Which product this is, told by its content. Takes nothing, gives one digest that is the same on every machine.

`house.py` tells by size and time whether anything changed here since the last publish; this tells whether another
machine would make the same pages: the same program, knowledge and theme, byte by byte, with the same libraries.
"""

from __future__ import annotations

import hashlib
import sys
from functools import lru_cache
from importlib import metadata
from pathlib import Path

from gramwright.publishing.house import LIBRARIES
from gramwright.resources import content, themes


@lru_cache(maxsize=1)
def fingerprint() -> str:
    """Changes with the bytes of program, knowledge and theme, with the libraries and with Python's minor version."""
    whole = hashlib.blake2b(digest_size=16)
    whole.update(f"python {sys.version_info[0]}.{sys.version_info[1]}\n".encode())
    for name in LIBRARIES.values():
        whole.update(f"{name} {_version(name)}\n".encode())
    package = Path(__file__).resolve().parent.parent
    for folder in (package, content(), themes()):
        for file in sorted(folder.rglob("*")):
            inside = file.relative_to(folder)
            if file.is_file() and "__pycache__" not in inside.parts and inside.parts[0] != "shipped":
                whole.update(f"{inside.as_posix()}\n".encode())
                whole.update(hashlib.blake2b(file.read_bytes(), digest_size=16).digest())
    return whole.hexdigest()


def _version(name: str) -> str:
    try:
        return metadata.version(name)
    except metadata.PackageNotFoundError:
        return ""
