"""Typed reading of a shipped mapping. Takes plain data, gives values; raises Trouble 'bad-rule-set' with the path."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from enum import StrEnum
from typing import Any, TypeVar

from gramwright.labelling.rules_model import Source
from gramwright.problems import Trouble

Kind = TypeVar("Kind", bound=StrEnum)


def bad(path: str, message: str) -> Trouble:
    return Trouble("bad-rule-set", f"{path}: {message}", "the grammar is at the head of content/labelling/eu.yaml")


class Fields:
    """A mapping with a path for messages. Unknown keys are refused when it is made."""

    __slots__ = ("data", "path")

    def __init__(self, data: Any, path: str, allowed: set[str] | None) -> None:
        if not isinstance(data, Mapping):
            raise bad(path, f"expected a mapping, found {type(data).__name__}")
        if allowed is not None and not set(data) <= allowed:
            raise bad(path, f"expected keys among {sorted(allowed)}, found {sorted(set(data) - allowed)}")
        self.data: Mapping[str, Any] = data
        self.path = path

    def __contains__(self, key: str) -> bool:
        return key in self.data

    def __iter__(self) -> Iterator[str]:
        return iter(self.data)

    def get(self, key: str, default: Any = None) -> Any:
        return self.data.get(key, default)

    def text(self, key: str, default: str | None = None) -> str:
        value = self.data.get(key, default)
        if not isinstance(value, str):
            raise bad(f"{self.path}.{key}", f"expected text, found {value!r}")
        return value

    def number(self, key: str, default: float | None = None) -> float:
        value = self.data.get(key, default)
        if isinstance(value, bool) or not isinstance(value, (int, float)):
            raise bad(f"{self.path}.{key}", f"expected a number, found {value!r}")
        return float(value)

    def items(self, key: str) -> Sequence[Any]:
        """A list; a single text stands for a list of one, an absent key for none."""
        value = self.data.get(key, ())
        if isinstance(value, str):
            return (value,)
        if not isinstance(value, Sequence):
            raise bad(f"{self.path}.{key}", f"expected a list, found {value!r}")
        return value

    def texts(self, key: str) -> tuple[str, ...]:
        """A list of texts: an unquoted `no` or number is refused, not turned into something else."""
        found = tuple(self.items(key))
        for value in found:
            if not isinstance(value, str):
                raise bad(f"{self.path}.{key}", f"expected texts, found {value!r} (quote it)")
        return found

    def choice(self, key: str, kind: type[Kind]) -> Kind:
        value = self.text(key)
        try:
            return kind(value)
        except ValueError:
            raise bad(f"{self.path}.{key}", f"expected one of {[str(k) for k in kind]}, found '{value}'") from None

    def block(self, key: str, allowed: set[str] | None) -> Fields:
        return Fields(self.data.get(key), f"{self.path}.{key}", allowed)

    def maybe(self, key: str, allowed: set[str]) -> Fields | None:
        return self.block(key, allowed) if key in self.data else None

    def blocks(self, key: str, allowed: set[str]) -> list[tuple[str, Fields]]:
        """A mapping of mappings, in file order; an absent key for none."""
        outer = Fields(self.data.get(key, {}), f"{self.path}.{key}", None)
        return [(name, outer.block(name, allowed)) for name in outer]

    def entries(self, key: str, allowed: set[str]) -> list[Fields]:
        """A list of mappings."""
        return [Fields(entry, f"{self.path}.{key}[{place}]", allowed) for place, entry in enumerate(self.items(key), 1)]

    def source(self, sources: Mapping[str, Source]) -> Source:
        """The source that this block names; none is an error."""
        name = self.text("source")
        if name not in sources:
            raise bad(f"{self.path}.source", f"expected one of {sorted(sources)}, found '{name}'")
        return sources[name]
