"""Random hubs of invented foods, their allergens worked out by hand, and readers of what a published site says of them.

The working out is a plain one, apart from the program's: sets of names per
food, joined over the counted rows. Only the law's list comes from its data,
which tests of its own hold against the law.
"""

from __future__ import annotations

import html
import json
import random
import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from pathlib import Path
from typing import Any

from tests.site.find_asked import SCRIPTS
from tests.site.node_asked import NodeAsked

from gramwright.labelling import allergen_rules
from gramwright.publishing.build import Result, publish
from gramwright.publishing.state import load as load_state
from gramwright.site import search
from gramwright.site.cards import Card

TODAY = date(2026, 11, 25)
IDS = sorted(allergen_rules.vocabulary().group)
NAMES = [f"{first}{second}o" for first in "bdgkmptv" for second in "aeiu"]
HEAD = (
    "food,name,aliases,group,state,ENERC_kJ,PROCNT_g,FAT_g,CHOAVL_g,FIBTG_g,contains,may_contain,"
    "allergens_checked,kind,source,source_ref,quality,updated\n"
)


@dataclass(frozen=True)
class Thing:
    """An invented food."""

    name: str
    contains: tuple[str, ...] = ()
    may_contain: tuple[str, ...] = ()
    checked: bool = True
    updated: str = ""
    """The day its pack was read; '': it has none."""
    kind: str = "plant"

    @property
    def fresh(self) -> bool:
        return not self.updated or self.updated >= "2025-11-25"

    def line(self) -> str:
        quality = "declared" if self.updated else "table"
        cells = [
            f"thing-{self.name}", f"thing {self.name}", "", "things", "raw", "400", "5", "3", "11", "2",
            ";".join(self.contains), ";".join(self.may_contain), "yes" if self.checked else "", self.kind,
            "made up for a test", self.name, quality, self.updated,
        ]  # fmt: skip
        return ",".join(cells) + "\n"


@dataclass
class Row:
    """A row of a recipe: a food or another recipe by its name; `swap` is a food."""

    what: str
    optional: bool = False
    swap: str = ""


@dataclass(frozen=True)
class States:
    """By hand: the law's ids that are contained, may be contained, are not known. One can be in the last two."""

    contains: frozenset[str]
    may_contain: frozenset[str]
    unknown: frozenset[str]

    def strength(self, allergen: str) -> int:
        return 3 * (allergen in self.contains) or 2 * (allergen in self.may_contain) or int(allergen in self.unknown)


@dataclass
class RandomHub:
    root: Path
    rules: str
    things: dict[str, Thing]
    recipes: dict[str, list[Row]] = field(default_factory=dict)

    @property
    def law(self) -> allergen_rules.AllergenRules:
        return allergen_rules.load(self.rules)

    def write(self) -> None:
        texts = {
            "hub.yaml": "title: Random hub\nbase_url: https://hub.example/\nshare_cards: false\n"
            f"rule_set: {self.rules}\n",
            "foods/own.csv": HEAD + "".join(thing.line() for thing in self.things.values()),
        }
        for name, rows in self.recipes.items():
            listed = "".join(f"- {self._row(row)}\n" for row in rows)
            texts[f"recipes/{name}.md"] = (
                f"---\ntitle: {name.title()}\nportions: 2\nmeals: [lunch]\ntags: [odd]\n---\n"
                f"```ingredients\n{listed}```\n\n1. Stir.\n"
            )
        for path, text in texts.items():
            file = self.root / path
            file.parent.mkdir(parents=True, exist_ok=True)
            file.write_text(text, encoding="utf-8")

    def _row(self, row: Row) -> str:
        what = f"recipe: {row.what}" if row.what in self.recipes else f"food: thing {row.what}"
        swap = f", swaps: [{{amount: 50 g, food: thing {row.swap}}}]" if row.swap else ""
        return f"{{amount: 50 g, {what}{', optional: true' if row.optional else ''}{swap}}}"

    def publish(self) -> Result:
        self.write()
        result = publish(self.root, TODAY, workers=1)
        assert not result.has_errors, result.problems
        return result

    # ---------------------------------------------------------------- by hand

    def foods_of(self, recipe: str) -> list[Thing]:
        """Every counted food, at any depth."""
        found: list[Thing] = []
        for row in self.recipes[recipe]:
            if not row.optional:
                found += self.foods_of(row.what) if row.what in self.recipes else [self.things[row.what]]
        return found

    def states(self, recipe: str) -> States:
        things = self.foods_of(recipe)
        contains = {each for thing in things for each in thing.contains}
        may = {each for thing in things for each in thing.may_contain}
        unknown: set[str] = set()
        for thing in things:
            if not thing.checked or not thing.fresh:
                unknown |= set(IDS) - set(thing.contains) - (set(thing.may_contain) if thing.fresh else set())
            if "nuts" in thing.contains:
                unknown |= allergen_rules.vocabulary().members["nuts"] - set(thing.contains)
        has, perhaps, open_ = (frozenset(self.law.entry_of[i] for i in ids if i in self.law.entry_of)
                               for ids in (contains, may, unknown))  # fmt: skip
        return States(has, perhaps - has, open_ - has)

    def group_unclear(self, recipe: str, group: str) -> int:
        """How strongly a class as a whole is there, whether the law lists its members or not: 0 to 3."""
        members = allergen_rules.vocabulary().members[group]
        best = 0
        for thing in self.foods_of(recipe):
            generic = {"nuts"} if group == "nuts" else set()
            if (members | generic) & set(thing.contains):
                best = 3
            if not thing.checked or not thing.fresh:
                best = max(best, 1)
            if members & set(thing.may_contain):
                best = max(best, 2)
        return best


def random_hub(root: Path, seed: int, rules: str, recipes: int = 24) -> RandomHub:
    """Foods of every sort of statement; recipes in recipes two deep; optional rows and swaps of anything."""
    chance = random.Random(seed)
    things: dict[str, Thing] = {}
    for name in NAMES:
        named = chance.sample(IDS, chance.choice([0, 0, 1, 2, 3]))
        cut = chance.randint(0, len(named))
        contains = [*named[:cut], *(["nuts"] if chance.random() < 0.06 else [])]
        things[name] = Thing(
            name,
            tuple(contains),
            tuple(named[cut:]),
            chance.random() < 0.88,
            chance.choice(["", "", "2026-10-01", "2025-11-25", "2026-11-25", "2025-11-24" if name[1] == "a" else ""]),
        )
    hub = RandomHub(root, rules, things)
    for number in range(recipes):
        rows = []
        for _ in range(chance.randint(1, 4)):
            swap = chance.choice(NAMES) if chance.random() < 0.3 else ""
            rows.append(Row(chance.choice(NAMES), chance.random() < 0.25, swap))
        rows[0].optional = False
        below = [*hub.recipes][:-1] if number > recipes // 3 else []
        if below and chance.random() < 0.6:
            rows.append(Row(chance.choice(below), chance.random() < 0.15))
        hub.recipes[f"dish-{chr(97 + number // 26)}{chr(97 + number % 26)}"] = rows
    return hub


# ---------------------------------------------------------------- what the site says


@dataclass(frozen=True)
class Said:
    """What one surface says of one recipe, in the law's names; None: it gives a number in place of names."""

    contains: frozenset[str]
    may_contain: frozenset[str]
    unknown: frozenset[str] | int


class Site:
    """A published random hub as its readers have it."""

    def __init__(self, hub: RandomHub) -> None:
        self.hub = hub
        self.folder = hub.root / "published"
        self.names = dict(hub.law.names("en"))

    def text(self, path: str) -> str:
        return (self.folder / path).read_text(encoding="utf-8")

    def words(self, ids: frozenset[str]) -> frozenset[str]:
        return frozenset(self.names[each] for each in ids)

    def facts(self, recipe: str) -> dict[str, Any]:
        data: dict[str, Any] = json.loads(self.text(f"recipes/{recipe}/facts.json"))
        return data

    def json_ld(self, recipe: str) -> dict[str, Any]:
        page = self.text(f"recipes/{recipe}/index.html")
        found = re.search(r'<script type="application/ld\+json">(.*?)</script>', page, re.S)
        assert found
        data: dict[str, Any] = json.loads(found[1])
        return data

    def page(self, recipe: str) -> Said:
        """The section on allergens."""
        (block,) = re.findall(r'<dl class="allergens">(.*?)</dl>', self.text(f"recipes/{recipe}/index.html"), re.S)
        said: dict[str, frozenset[str]] = {}
        for name, rest in re.findall(r"<dt>(.*?)</dt>(.*?)</div>", block, re.S):
            said[name] = _strong(rest)
        none: frozenset[str] = frozenset()
        assert said.keys() <= {"Contains", "May contain", "Not known"}
        return Said(said.get("Contains", none), said.get("May contain", none), said.get("Not known", none))

    def brief(self, recipe: str) -> Said:
        """The line under the title."""
        (block,) = re.findall(r'<p class="brief".*?</p>', self.text(f"recipes/{recipe}/index.html"), re.S)
        first, _, rest = block.partition("; may contain ")
        unknown = re.search(r"(\d+) not known", block)
        return Said(_strong(first), _strong(rest), int(unknown[1]) if unknown else 0)

    def rows(self, path: str) -> dict[str, Said]:
        """The rows of a list: find and its bands."""
        found = {}
        for row in re.findall(r'<li class="dish">.*?</li>', self.text(path), re.S):
            link = re.search(r'href="[^"]*recipes/([^/"]+)/', row)
            if link is None:
                continue  # the empty row that the script copies
            parts = {}
            (block,) = re.findall(r'<p class="dish-allergens">(.*?)</p>', row, re.S)
            for state, text in re.findall(r'<span class="allergen-(\w+)">(.*?)</span>', block, re.S):
                parts[state] = text
            assert parts, "a row says nothing of allergens"
            count = re.match(r"(\d+) allergens? not known", parts.get("unknown", ""))
            unknown = int(count[1]) if count else _bold(parts.get("unknown", ""))
            found[link[1]] = Said(_bold(parts.get("contains", "")), _bold(parts.get("may", "")), unknown)
        return found

    def sheet(self, recipe: str) -> Said | None:
        """The label for containers, a number in place of names where it says 'all others'; None: it fits on none."""
        page = self.text(f"recipes/{recipe}/labels.html")
        blocks = set(re.findall(r'<p class="label-allergens">(.*?)</p>', page, re.S))
        if not blocks:
            return None
        (block,) = blocks
        contains, _, rest = block.partition("May contain ") if "May contain " in block else (block, "", block)
        contains = contains.partition("Not known:")[0]
        may, _, unknown = rest.partition("Not known:")
        named = _strong(unknown)
        whole = {"all others on the list", "every allergen on the list"}
        none = "No listed allergen in the ingredients as recorded." in block
        said = Said(_strong(contains), _strong(may) if "May contain " in block else frozenset(), named)
        assert none == (not said.contains and not said.may_contain and not named)
        return replace(said, unknown=len(self.hub.law.listed)) if named & whole else said

    def listed(self, recipe: str) -> str:
        """The ingredient list by weight, as HTML."""
        (block,) = re.findall(r'<div class="listed">(.*?)</div>', self.text(f"recipes/{recipe}/index.html"), re.S)
        (line,) = re.findall(r"<p>(.*?)</p>", block, re.S)
        return str(line)

    def cards(self) -> Mapping[str, Card]:
        state = load_state(self.hub.root / ".gramwright" / "state.json")
        assert state
        return {record.card.slug: record.card for record in state.records.values()}


def _strong(text: str) -> frozenset[str]:
    return frozenset(map(html.unescape, re.findall(r"<strong>(.*?)</strong>", text)))


def _bold(text: str) -> frozenset[str]:
    return frozenset(map(html.unescape, re.findall(r"<b>(.*?)</b>", text)))


class Finder(NodeAsked):
    """The find page's own code, run by Node over the published index."""

    def __init__(self, site: Path) -> None:
        files = {path.relative_to(site).as_posix(): b"" for path in (site / "search").glob("*.js")}
        names = search.names(files)
        data = [site / name for name in (names.columns, names.titles, names.words, names.swaps)]
        super().__init__("find_runner.cjs", [*SCRIPTS, *data])

    def shown(self, query: str) -> set[str]:
        """Slugs that the page lists under an address."""
        return set(self.ask(search=query)["slugs"])

    def told(self) -> dict[str, dict[str, set[str]]]:
        """Slug -> what the index says of its swaps."""
        slugs = [recipe["slug"] for recipe in self.ask(recipes=True)]
        told = self.ask(told=True)
        return {slug: {what: set(ids) for what, ids in each} for slug, each in zip(slugs, told, strict=True)}
