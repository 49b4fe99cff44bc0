"""The law's lists of allergens. Takes a rule set's id, gives what it lists, under which names, with which exceptions.

Read from content/allergens/: the vocabulary (`allergens.yaml`), the lists
(`rules/<rule set>.yaml`) and the named exceptions (`exceptions.yaml`); each
file's head explains its own grammar. Frozen, read once per process.

    available() -> tuple[str, ...]        ids of the rule sets that have a list
    load(rules_id) -> AllergenRules       raises Trouble 'unknown-rule-set'
    vocabulary() -> Words                 every id, its group, the generic ids
    exceptions() -> Mapping[str, LegalException]
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, cached_property
from typing import Any, NamedTuple

from gramwright.labelling.shipped_data import in_language, read_yaml
from gramwright.problems import Trouble, either, near
from gramwright.resources import content


class Words(NamedTuple):
    """The allergen vocabulary."""

    group: Mapping[str, str]
    """Id -> 'gluten cereals', 'nuts' or ''."""
    generic: Mapping[str, str]
    """Generic id ('gluten', 'nuts') -> its group."""
    members: Mapping[str, frozenset[str]]
    """Group -> the ids in it."""
    refers: Mapping[str, re.Pattern[str]]
    """Id -> what names it inside a food's name ('egg' in 'egg white', not in 'eggplant'; 'whey' is not 'milk')."""


class Listed(NamedTuple):
    """One allergen of a law's list, or a generic name ('gluten') under which a law's allergens are stated."""

    id: str
    names: Mapping[str, str]
    """Language -> the law's name."""
    covers: frozenset[str]
    """Every vocabulary id that the entry stands for; for a generic one, every member of its group."""
    summary: tuple[str, ...]
    """Names in the law's summary statement; empty: the law's name."""
    law_class: str
    """'tree nuts' where the law has a name for several entries; else ''."""
    generic: bool = False

    def name(self, language: str) -> str:
        return in_language(self.names, language)


class LegalException(NamedTuple):
    """Something made from an allergen that a law takes off its list."""

    id: str
    allergens: frozenset[str]
    laws: Mapping[str, str]
    """Rule set -> the law's section; a rule set that is missing does not have the exception."""
    texts: Mapping[str, str]
    checked: str

    def text(self, language: str) -> str:
        return in_language(self.texts, language)


@dataclass(frozen=True)
class AllergenRules:
    """A rule set's list of allergens, in the law's order."""

    id: str
    title: str
    law: str
    checked: str
    naming: str
    said: Mapping[str, Mapping[str, str]]
    """Language -> title, law, checked, naming and the law of shares in it."""
    listed: tuple[Listed, ...]
    generic: tuple[Listed, ...]
    """Generic names, shown only where some food states them."""
    shares: bool
    """Whether the ingredient list gives a percentage for what the title names."""
    shares_law: str

    def text(self, key: str, language: str) -> str:
        """'title', 'law', 'checked', 'naming' or 'shares' (its law) in a language; English where that has none."""
        texts = self.said.get(language) or self.said.get(language.partition("-")[0]) or {}
        return texts.get(key) or self.said["en"][key]

    @cached_property
    def order(self) -> tuple[Listed, ...]:
        return self.listed + self.generic

    def names(self, language: str) -> Mapping[str, str]:
        """Id -> the law's name, in the law's order; the generic names last."""
        return _names(self.id, language)

    @cached_property
    def by_id(self) -> Mapping[str, Listed]:
        return {entry.id: entry for entry in self.order}

    @cached_property
    def entry_of(self) -> Mapping[str, str]:
        """Vocabulary id -> the id of the entry that stands for it; ids that are not listed are missing."""
        found = {member: entry.id for entry in self.listed for member in entry.covers}
        found.update((entry.id, entry.id) for entry in self.generic)
        return found

    @cached_property
    def all_ids(self) -> frozenset[str]:
        """The listed ids, without the generic names."""
        return frozenset(entry.id for entry in self.listed)


def available() -> tuple[str, ...]:
    """Ids of the rule sets that have a list of allergens, sorted."""
    return tuple(sorted(path.stem for path in (content() / "allergens" / "rules").glob("*.yaml")))


@cache
def vocabulary() -> Words:
    data = read_yaml("allergens/allergens.yaml")
    group = {name: str(entry.get("group", "")) for name, entry in data["allergens"].items()}
    generic = {name: str(entry["group"]) for name, entry in data["generic"].items()}
    members = {
        each: frozenset(name for name, of in group.items() if of == each)
        for each in sorted({of for of in group.values() if of})
    }
    refers = {
        name: _naming(entry.get("named_by", [name]))
        for part in ("allergens", "generic")
        for name, entry in data[part].items()
    }
    return Words(group, generic, members, refers)


@cache
def load(rules_id: str) -> AllergenRules:
    """The list of rule set `rules_id`. Raises Trouble 'unknown-rule-set'."""
    known = available()
    if rules_id not in known:
        raise Trouble(
            "unknown-rule-set",
            f"expected a rule set with a list of allergens ({either(known)}), found '{rules_id}'",
            f"did you mean {either(near(rules_id, known))}?" if near(rules_id, known) else "",
        )
    data = dict(read_yaml(f"allergens/rules/{rules_id}.yaml"))
    if "same_as" in data:
        base = read_yaml(f"allergens/rules/{data['same_as']}.yaml")
        said = {
            language: {**base.get("said", {}).get(language, {}), **data.get("said", {}).get(language, {})}
            for language in (*base.get("said", {}), *data.get("said", {}))
        }
        data = {**base, **data, "said": said}
    words = vocabulary()
    listed = tuple(
        _listed(entry, frozenset((str(entry["id"]), *entry.get("covers", ())))) for entry in data["allergens"]
    )
    stands = {member for entry in listed for member in entry.covers}
    generic = tuple(
        _listed(entry, words.members[words.generic[entry["id"]]] & stands, generic=True) for entry in data["generic"]
    )
    english = {key: " ".join(str(data[key]).split()) for key in ("title", "law", "checked", "naming")}
    english["shares"] = str(data["shares"]["law"])
    return AllergenRules(
        id=rules_id,
        title=english["title"],
        law=english["law"],
        checked=english["checked"],
        naming=english["naming"],
        said={"en": english, **_said(data)},
        listed=listed,
        generic=generic,
        shares=data["shares"]["when"] == "named",
        shares_law=str(data["shares"]["law"]),
    )


def _said(data: Mapping[str, Any]) -> dict[str, dict[str, str]]:
    return {
        str(language): {str(key): " ".join(str(text).split()) for key, text in texts.items()}
        for language, texts in data.get("said", {}).items()
    }


@cache
def _names(rules_id: str, language: str) -> Mapping[str, str]:
    return {entry.id: entry.name(language) for entry in load(rules_id).order}


@cache
def exceptions() -> Mapping[str, LegalException]:
    """Every named exception by its id. A law that follows another has its exceptions too."""
    follows = {
        name: str(data["same_as"])
        for name in available()
        if "same_as" in (data := read_yaml(f"allergens/rules/{name}.yaml"))
    }
    found: dict[str, LegalException] = {}
    for name, entry in read_yaml("allergens/exceptions.yaml")["exceptions"].items():
        laws = {str(rules): str(law) for rules, law in entry["laws"].items()}
        laws |= {follower: laws[of] for follower, of in follows.items() if of in laws}
        texts = {key: str(value) for key, value in entry.items() if len(key) == 2}
        found[name] = LegalException(name, frozenset(entry["allergens"]), laws, texts, str(entry["checked"]))
    return found


def _listed(entry: Mapping[str, Any], covers: frozenset[str], *, generic: bool = False) -> Listed:
    names = {key: str(value) for key, value in entry.items() if len(key) == 2 and key != "id"}
    summary = tuple(str(name) for name in entry.get("summary", ()))
    return Listed(str(entry["id"]), names, covers, summary, str(entry.get("class", "")), generic)


def _naming(words: list[str]) -> re.Pattern[str]:
    """Matches any of the words as a whole word, with or without a plain plural."""
    stems = sorted({re.sub(r"(?<!s)s$", "", word.casefold()) for word in words}, key=lambda stem: (-len(stem), stem))
    return re.compile(rf"\b(?:{'|'.join(map(re.escape, stems))})s?\b", re.IGNORECASE)
