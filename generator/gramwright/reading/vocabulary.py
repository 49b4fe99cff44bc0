"""Takes the shipped lists of allergens, kinds and states, gives look-ups for the words a food table may use."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

from gramwright import resources
from gramwright.problems import Problem, ProblemLog, Trouble, near
from gramwright.reading.fold import fold
from gramwright.reading.yaml_nodes import Mapping as MappingNode
from gramwright.reading.yaml_nodes import Node, Scalar, Sequence, parse


@dataclass(frozen=True, slots=True)
class Vocabulary:
    """Allergens and kinds by any of their words. Look-ups fold case, spaces, hyphens and plain plurals."""

    allergens: tuple[str, ...]
    """Canonical ids at the finest grain, in the file's order."""
    generics: tuple[str, ...]
    """Ids that name a group without saying which member ('gluten', 'nuts')."""
    groups: Mapping[str, tuple[str, ...]]
    """Generic id -> the allergen ids of its group."""
    kinds: Mapping[str, Mapping[str, str]]
    """Kind id -> what it says of each diet ('vegetarian': 'yes', 'no' or 'unknown')."""
    allergen_words: Mapping[str, str] = field(repr=False)
    """Folded word -> allergen or generic id."""
    kind_words: Mapping[str, str] = field(repr=False)
    refused: Mapping[str, str] = field(repr=False)
    """Folded word -> why it says too little."""
    states: Mapping[str, bool] = field(repr=False)
    """Folded state -> whether it is a cooked one; a hub may use further words."""
    groups_of_foods: tuple[str, ...] = field(repr=False)
    """The groups of the shipped table, in its order; a hub may use further words."""

    def cooked(self, state: str) -> bool | None:
        """Whether a food of this state is cooked; None where the word does not say."""
        return self.states.get(fold(state))

    def allergen(self, word: str) -> str:
        """The canonical id of an allergen. Raises Trouble 'unknown-allergen', 'unclear-allergen'."""
        key = fold(word)
        found = self.allergen_words.get(key)
        if found is not None:
            return found
        why = self.refused.get(key)
        if why is not None:
            raise Trouble("unclear-allergen", f"expected a clear allergen, found '{word.strip()}'", why)
        raise Trouble(
            "unknown-allergen",
            f"expected an allergen, found '{word.strip()}'",
            _did_you_mean(key, self.allergen_words, "known are: " + ", ".join((*self.allergens, *self.generics))),
        )

    def kind(self, word: str) -> str:
        """The canonical id of a kind. Raises Trouble 'unknown-kind'."""
        key = fold(word)
        found = self.kind_words.get(key)
        if found is not None:
            return found
        raise Trouble(
            "unknown-kind",
            f"expected a kind (what the food is made of), found '{word.strip()}'",
            _did_you_mean(key, self.kind_words, "known are: " + ", ".join(self.kinds)),
        )


def _did_you_mean(key: str, words: Mapping[str, str], otherwise: str) -> str:
    close = list(dict.fromkeys(words[word] for word in near(key, words)))
    return f"did you mean {' or '.join(close)}?" if close else otherwise


@cache
def load() -> Vocabulary:
    """The shipped vocabulary, read once. Raises ValueError when the shipped files are damaged."""
    content = resources.content()
    return read_vocabulary(
        content / "allergens" / "allergens.yaml",
        content / "allergens" / "kinds.yaml",
        content / "foods" / "vocabulary.yaml",
    )


def read_vocabulary(allergens_file: Path, kinds_file: Path, states_file: Path) -> Vocabulary:
    """As `load`, from any three files of that form."""
    log = ProblemLog()
    document = _document(allergens_file, log)
    allergens = _mapping(document, "allergens")
    generic = _mapping(document, "generic")
    refused = _mapping(document, "refused")
    kinds = _mapping(_document(kinds_file, log), "kinds")
    words = _document(states_file, log)
    states = _mapping(words, "states")
    for problem in log:
        raise _damaged(problem)
    members: dict[str, list[str]] = {}
    for name, node in allergens.items():
        for group in _texts(node, "group"):
            members.setdefault(group, []).append(name)
    groups = {name: tuple(members.get(group, ())) for name, node in generic.items() for group in _texts(node, "group")}
    return Vocabulary(
        allergens=tuple(allergens),
        generics=tuple(generic),
        groups=groups,
        kinds={name: _properties(node) for name, node in kinds.items()},
        allergen_words=_words({**allergens, **generic}),
        kind_words=_words(kinds),
        refused={fold(word): node.text for word, node in refused.items() if isinstance(node, Scalar)},
        states={fold(word): _texts(node, "cooked") == ["yes"] for word, node in states.items()},
        groups_of_foods=tuple(_mapping(words, "groups")),
    )


def _damaged(problem: Problem) -> ValueError:
    return ValueError(f"{problem.place}: {problem.message}")


def _document(file: Path, log: ProblemLog) -> Node | None:
    return parse(file.read_text(encoding="utf-8"), file.name, log)


def _mapping(document: Node | None, key: str) -> dict[str, Node]:
    node = document.get(key) if isinstance(document, MappingNode) else None
    return {name: value for name, _, value in node.items()} if isinstance(node, MappingNode) else {}


def _texts(node: Node, key: str) -> list[str]:
    """The text or texts under a key of a mapping; none when it is absent."""
    value = node.get(key) if isinstance(node, MappingNode) else None
    if isinstance(value, Sequence):
        return [item.text for item in value.items if isinstance(item, Scalar)]
    return [value.text] if isinstance(value, Scalar) and not value.empty else []


def _properties(node: Node) -> dict[str, str]:
    if not isinstance(node, MappingNode):
        return {}
    return {name: value.text for name, _, value in node.items() if isinstance(value, Scalar)}


def _words(nodes: Mapping[str, Node]) -> dict[str, str]:
    """Folded word -> id. Raises ValueError when one word leads to two ids."""
    words: dict[str, str] = {}
    for name, node in nodes.items():
        for word in (name, *_texts(node, "also")):
            if words.setdefault(fold(word), name) != name:
                raise ValueError(f"the word '{word}' leads to both '{words[fold(word)]}' and '{name}'")
    return words
