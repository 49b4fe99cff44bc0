"""A recipe's pictures as its page shows them. Takes a photo, gives what `parts/photo.html` and the page's head get."""

from __future__ import annotations

from typing import NamedTuple

from gramwright.model import Label, RecipePage
from gramwright.site.pictures.photos import ENDINGS, Photo
from gramwright.site.theme import Image, Theme

CARD, CARD_SIZE = "card.png", (1200, 630)


class SourceView(NamedTuple):
    """One format of the photo."""

    type: str
    srcset: str


class PhotoView(NamedTuple):
    """What `parts/photo.html` gets. Links are relative to the recipe's page."""

    sources: tuple[SourceView, ...]
    """Formats that not every browser reads, best first."""
    srcset: str
    src: str
    width: int
    height: int
    alt: str
    blur: str
    """A tiny version as a data: address; '' for none."""


class Shown(NamedTuple):
    photo: PhotoView | None
    shared: Image | None
    """The share card; the photo where the hub wants no cards."""
    addresses: tuple[str, ...]
    """Absolute addresses of all pictures of the dish, the photo first."""


def view(photo: Photo | None, page: RecipePage, label: Label, theme: Theme) -> Shown:
    """Takes a page's photo (or None), gives what its page shows and what its head says of pictures."""
    folder = f"recipes/{page.slug}"
    shown = None if photo is None else _photo(photo, page)
    shared = None
    addresses = []
    if photo is not None and shown is not None:
        href = theme.absolute(f"{folder}/{shown.src}")
        shared = Image(href, photo.width, photo.height, shown.alt)
        addresses.append(href)
    if theme.settings.share_cards:
        href = theme.absolute(f"{folder}/{CARD}")
        shared = Image(href, *CARD_SIZE, _card_alt(page, label, theme))
        addresses.append(href)
    return Shown(shown, shared, tuple(addresses))


def _photo(photo: Photo, page: RecipePage) -> PhotoView:
    jpegs = photo.of("jpg")
    return PhotoView(
        sources=tuple(
            SourceView(media, _srcset(photo.of(ending)))
            for ending, media in ENDINGS.items()
            if ending != "jpg" and photo.of(ending)
        ),
        srcset=_srcset(jpegs),
        src=jpegs[-1][0],
        width=photo.width,
        height=photo.height,
        alt=page.photo_alt or page.title,
        blur=photo.blur,
    )


def _srcset(versions: tuple[tuple[str, int], ...]) -> str:
    return ", ".join(f"{name} {width}w" for name, width in versions)


def _card_alt(page: RecipePage, label: Label, theme: Theme) -> str:
    energy = label.per_portion.get("ENERC_kcal")
    if energy is None:
        return page.title
    least = "" if energy.coverage >= 1 else theme.words("panel.at_least") + " "
    return theme.words("picture.card", title=page.title, energy=f"{least}{theme.words.number(energy.amount)}")
