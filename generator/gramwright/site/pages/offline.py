"""What is shown of a page that is not saved while the network does not answer. Takes the theme, gives its page.

Template `offline.html` gets `shell` alone; the worker fills its list of saved pages and makes its links hold at any
address (`themes/galley/offline/worker.js`).
"""

from __future__ import annotations

from gramwright.site.offline import PAGE
from gramwright.site.theme import Theme


def render(theme: Theme) -> dict[str, bytes]:
    """The page."""
    shell = theme.shell(PAGE, kind="offline", title=theme.words("offline.title"), index=False)
    return {PAGE: theme.render("offline.html", shell)}
