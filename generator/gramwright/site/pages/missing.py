"""What a server shows for an address that is not there. Takes nothing but the theme, gives 404.html.

A server answers with it at any depth, so its links start at the server's root
where the hub has a base_url (whose path they then begin with). Its style is
named both ways, so that the page opened from disk looks right too. Template `missing.html` gets `shell` alone.
"""

from __future__ import annotations

from dataclasses import replace
from urllib.parse import urlsplit

from gramwright.site.theme import Shell, Theme, safe_path

PATH = "404.html"


def render(theme: Theme) -> dict[str, bytes]:
    """The page."""
    shell = theme.shell(PATH, kind="missing", title=theme.words("missing.title"), index=False)
    return {PATH: theme.render("missing.html", _anywhere(theme, shell))}


def _anywhere(theme: Theme, shell: Shell) -> Shell:
    """The frame with links that hold at any depth; unchanged when the site's address is not known."""
    if not theme.base_url:
        return replace(shell, canonical="")
    root = f"{safe_path(urlsplit(theme.base_url).path)}/"
    return replace(
        shell,
        canonical="",
        root=root,
        home=root,
        navigation=tuple(replace(item, href=root + item.href) for item in shell.navigation),
        styles=(*shell.styles, *(root + href for href in shell.styles)),
        scripts=tuple(root + href for href in shell.scripts),
        icon=root + shell.icon,
        manifest=root + shell.manifest,
        feed=root + shell.feed,
        corrections=root + shell.corrections,
    )
