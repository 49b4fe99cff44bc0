"""Whose site lies in an output folder. Takes a hub and the folder, refuses to put one hub's site in another's place.

    mark_of(hub) -> str                              what names the hub in its site's own list; '' where it has none
    refuse_other(hub, out, mark, known)              raises Trouble 'other-hub'

A hub is named by `id` in its hub.yaml, without one by its title, address and author: so it keeps its site wherever its
folder is moved, and a copy of it gives the same bytes. What the working state knows to be its own is its own under any
name, and so is what lies inside the hub's own folder.
"""

from __future__ import annotations

import hashlib
from pathlib import Path

from gramwright.problems import ProblemLog, Trouble
from gramwright.publishing import tree
from gramwright.publishing.hub import HubFiles
from gramwright.publishing.kitchen import read_hub_settings

MARK_BYTES = 8


def mark_of(hub: HubFiles) -> str:
    """What is wrong with hub.yaml is told by whoever reads it to use it."""
    settings = read_hub_settings(hub, ProblemLog())
    if settings is None:
        return ""
    name = settings.hub_id or f"\0{settings.title}\0{settings.base_url}\0{settings.author}"
    return hashlib.blake2b(name.encode(), digest_size=MARK_BYTES).hexdigest()


def refuse_other(hub: HubFiles, out: Path, mark: str, known: str | None) -> None:
    """`known`: the id of the tree that the working state remembers. Raises Trouble 'other-hub'."""
    published = tree.published_id(out)
    if published is None or not mark or published == known or out.is_relative_to(hub.root.resolve()):
        return
    if tree.published_mark(out) != mark:
        raise Trouble(
            "other-hub",
            f"expected a folder of this hub's own, found the published site of another hub in {out}; "
            "nothing was changed",
            "publish into another folder with --out. Where it is this hub's own site, from before its title or 'id' in "
            "hub.yaml was changed, move that folder away or delete it: a publish makes it whole again",
        )
