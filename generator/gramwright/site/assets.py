"""The theme's files. Takes a hub's folder, gives bundles with their content hash in the name, and one fingerprint.

A theme is a folder: `assets.yaml` (which files make which bundle), `templates/`,
`style/`, `browser/`, `icons/`, `words/`. A hub overrides a single file by
having one of the same name below its own `theme/` folder. Nothing here imports
the template engine, so that a publish with nothing to do pays little.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from pathlib import Path, PurePosixPath
from typing import Any, NamedTuple

import yaml

from gramwright.problems import Trouble, either
from gramwright.resources import themes

BUILT_IN = "galley"
OVERRIDES = "theme"
"""The folder in a hub whose files replace the theme's."""
HASH_LENGTH = 10


class Asset(NamedTuple):
    """One published file of the theme: its path inside the site, and its bytes."""

    name: str
    path: str
    data: bytes


def folders(hub_root: Path | None) -> tuple[Path, ...]:
    """Where theme files are looked for, first one first."""
    built_in = themes() / BUILT_IN
    if hub_root is None or not (hub_root / OVERRIDES).is_dir():
        return (built_in,)
    return (hub_root / OVERRIDES, built_in)


def load_yaml(path: Path) -> Any:
    """The content of one of the theme's YAML files, by the C loader; raises Trouble 'theme-file'."""
    try:
        loader = yaml.CSafeLoader
    except AttributeError:
        raise Trouble(
            "yaml-without-c", "PyYAML was built without libyaml", "Install PyYAML from a wheel, or libyaml first."
        ) from None
    try:
        return yaml.load(path.read_bytes(), Loader=loader)
    except (yaml.YAMLError, UnicodeDecodeError) as error:
        raise Trouble("theme-file", f"{path.name} is not YAML: {error}", "Mend the file, or remove it.") from error


def find(name: str, hub_root: Path | None) -> Path:
    """The file `name` ('style/tokens.css') of the hub's overrides or of the theme; raises Trouble 'theme-file'."""
    for folder in folders(hub_root):
        if (folder / name).is_file():
            return folder / name
    raise Trouble("theme-file", f"the theme has no file '{name}'", "Install the package again.")


def _members(pattern: str, hub_root: Path | None) -> list[str]:
    """The theme files a pattern of assets.yaml names, sorted: overrides and built-in files by one name count once."""
    if "*" not in pattern:
        return [pattern]
    found = {path.relative_to(folder).as_posix() for folder in folders(hub_root) for path in folder.glob(pattern)}
    return sorted(found)


def bundles(hub_root: Path | None) -> dict[str, Asset]:
    """Bundle name -> Asset, as assets.yaml says; a bundle none of whose files exists is left out."""
    listed = load_yaml(find("assets.yaml", hub_root))
    made: dict[str, Asset] = {}
    for name, patterns in listed["bundles"].items():
        members = [member for pattern in patterns for member in _members(pattern, hub_root)]
        if members:
            data = b"\n".join(find(member, hub_root).read_bytes().rstrip() for member in members) + b"\n"
            made[name] = asset(name, data if name.endswith((".css", ".js")) else data[:-1])
    for member in listed["files"]:
        made[PurePosixPath(member).name] = asset(PurePosixPath(member).name, find(member, hub_root).read_bytes())
    return made


def asset(name: str, data: bytes) -> Asset:
    """A file with the hash of its content in its published name."""
    stem, dot, extension = name.rpartition(".")
    digest = hashlib.sha256(data).hexdigest()[:HASH_LENGTH]
    return Asset(name, f"assets/{stem}.{digest}{dot}{extension}", data)


def pick(made: dict[str, Asset], name: str) -> Asset:
    """The bundle of that name; raises Trouble 'unknown-asset'."""
    try:
        return made[name]
    except KeyError:
        raise Trouble("unknown-asset", f"there is no asset '{name}'", f"Known: {either(sorted(made))}.") from None


def fingerprint(hub_root: Path | None) -> str:
    """One hash over every file of the theme and the hub's overrides: a page made with another one is out of date."""
    digest = hashlib.sha256()
    for folder in folders(hub_root):
        for path in _files(folder):
            digest.update(path.relative_to(folder).as_posix().encode())
            digest.update(hashlib.sha256(path.read_bytes()).digest())
    return digest.hexdigest()


def _files(folder: Path) -> Iterator[Path]:
    yield from sorted(path for path in folder.rglob("*") if path.is_file())
