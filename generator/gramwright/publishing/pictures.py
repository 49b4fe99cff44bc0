"""One recipe's pictures: takes its dish and label, gives files made anew and files that still hold.

A share card holds as long as the key it carries (a digest of all that it shows, and of how it is drawn) is the key of
what would be drawn now; a photo's versions hold as long as their names, which have the digest of the picture in them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import NamedTuple

from gramwright.model import Dish, Label, RecipePage
from gramwright.problems import Place, ProblemLog, Trouble, near
from gramwright.publishing.hub import FOLDERS, HubFiles
from gramwright.site.pictures import photos, share_card
from gramwright.site.pictures.easel import Easel
from gramwright.site.pictures.photos import Photo
from gramwright.site.theme import Theme

PHOTOS = "photos"


@dataclass(slots=True)
class Pictures:
    """What a recipe's page and its folder get."""

    photo: Photo | None = None
    files: dict[str, bytes] = field(default_factory=dict)
    """Published path -> bytes of what was made."""
    kept: dict[str, str] = field(default_factory=dict)
    """Published path -> digest of what is published already and holds."""


class Published(NamedTuple):
    """What is published of a recipe now. Without a folder there is nothing to keep, and nothing is made."""

    out: Path
    digests: Mapping[str, str]
    making: bool

    def head(self, path: str, count: int = -1) -> bytes:
        """The first bytes of a published file; b'' when there is none that the last publish knew."""
        if path not in self.digests:
            return b""
        try:
            with (self.out / path).open("rb") as handle:
                return handle.read(count)
        except (FileNotFoundError, NotADirectoryError):
            return b""


def cards(
    made: Pictures, easel: Easel, theme: Theme, dish: Dish, label: Label, now: Published, log: ProblemLog
) -> None:
    """Adds the share cards. A title that no font here can write is a warning: the card says the slug's words."""
    page = dish.page
    strange = easel.fonts.missing(page.title)
    if strange:
        log.warn(
            Place(page.place.file, page.lines.get("title", 1)),
            "card-signs",
            f"expected a title that the share card's fonts can write, found '{strange[:20]}'",
            "put a font that has these signs into theme/fonts/ (.ttf or .otf); until then the card shows the slug",
        )
    if not now.making:
        return
    face = share_card.face(easel, dish, label, theme.words, theme.settings.title)
    key = share_card.key(easel, face)
    for shape in share_card.SIZES:
        path = f"recipes/{page.slug}/{shape}.png"
        if share_card.key_of(now.head(path, share_card.HEAD_BYTES)) == key:
            made.kept[path] = now.digests[path]
        else:
            made.files[path] = share_card.paint(easel, face, shape)


def photo(made: Pictures, hub: HubFiles, page: RecipePage, now: Published, log: ProblemLog) -> None:
    """Adds the page's photo in all its versions; a photo that is missing or damaged is a problem at its line."""
    if not page.photo:
        return
    place = Place(page.place.file, page.lines.get("photo", 1))
    try:
        made.photo = _photo(made, hub, page, now)
    except Trouble as trouble:
        log.add(trouble.at(place))


def _photo(made: Pictures, hub: HubFiles, page: RecipePage, now: Published) -> Photo:
    if page.photo not in hub.stamps or not page.photo.startswith(f"{PHOTOS}/"):
        raise _missing(hub, page.photo)
    picture = photos.read(hub.read(page.photo))
    if not now.making:
        photos.check(picture)
        return picture.photo()
    folder = f"recipes/{page.slug}"
    paths = [f"{folder}/{name}" for name, _, _ in picture.names]
    smallest = next(f"{folder}/{name}" for name, _, ending in picture.names if ending == "jpg")
    jpeg = now.head(smallest) if all(path in now.digests for path in paths) else b""
    if jpeg:
        made.kept.update((path, now.digests[path]) for path in paths)
    else:
        made.files.update((f"{folder}/{name}", data) for name, data in photos.make(picture).items())
        jpeg = made.files[smallest]
    return picture.photo(photos.blur(jpeg))


def _missing(hub: HubFiles, name: str) -> Trouble:
    known = hub.under(PHOTOS)
    endings = ", ".join(FOLDERS[PHOTOS])
    close = near(name, known)
    hint = f"did you mean {', '.join(close)}?" if close else "copy the picture there, and write photo: photos/name.jpg"
    return Trouble("no-photo", f"expected a picture of the hub below {PHOTOS}/ ({endings}), found '{name}'", hint)
