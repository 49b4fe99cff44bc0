"""The theme at work: takes a hub's settings and folder, gives pages from templates, assets and links.

Templates come from the hub's `theme/templates` first, then from the built-in
theme, each compiled once. Every template gets the `Shell` of its page as
`shell` and what its page module documents. Links are relative, so that the
site works below any path and opened from disk. Filters: `w` (a word of the
theme; with a constant key it costs nothing at run time).
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path
from typing import Any, NamedTuple
from urllib.parse import quote

import jinja2

from gramwright.model import Settings
from gramwright.problems import Trouble
from gramwright.site import assets, offline, words
from gramwright.site.compiled import CompiledTemplates
from gramwright.site.cook import rules
from gramwright.site.cook.timers import Timers
from gramwright.site.templates import environment

CONTENT_SECURITY = (
    "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self' data:; font-src 'self'; "
    "connect-src 'self'; manifest-src 'self'; worker-src 'self'; base-uri 'none'; form-action 'self'"
)
"""The pages' Content-Security-Policy: nothing inline, nothing from elsewhere."""

INDEX = "index.html"
_SAFE_PATH = re.compile(r"[A-Za-z0-9_./~-]*\Z")
_NAVIGATION = (
    ("recipes", "recipes/index.html"),
    ("find", "find/index.html"),
    ("plans", "plans/index.html"),
    ("foods", "foods/index.html"),
    ("method", "method/index.html"),
)


@dataclass(frozen=True, slots=True)
class NavigationItem:
    key: str
    """Word key below `nav`."""
    text: str
    href: str
    current: bool


class Image(NamedTuple):
    """A picture that stands for a page (OpenGraph)."""

    href: str
    """Absolute address."""
    width: int
    height: int
    alt: str


@dataclass(frozen=True, slots=True)
class Shell:
    """What every page's frame needs; each text is plain (templates escape it)."""

    title: str
    """The page's own title."""
    full_title: str
    """With the hub's title behind it, for the browser's tab."""
    description: str
    kind: str
    """Page kind, a class of the body: 'home', 'recipe' ..."""
    site: str
    """The hub's title."""
    language: str
    direction: str
    cited: str
    """The language of what is cited (documents, publishers) where that is not the page's: 'en' or ''."""
    root: str
    """Prefix that leads from this page to the site's top: '', '../', '../../'."""
    home: str
    canonical: str
    """Absolute address; '' when the hub has no base_url."""
    navigation: tuple[NavigationItem, ...]
    styles: tuple[str, ...]
    scripts: tuple[str, ...]
    icon: str
    manifest: str
    feed: str
    corrections: str
    security: str
    og_type: str
    json_ld: str
    """JSON with every '<' escaped; '' for none."""
    index: bool
    """False: search engines are asked to leave the page out."""
    image: Image | None = None
    """What stands for the page where it is shared; None without a base_url."""


class Theme:
    """Templates, words and assets of one hub. Building it reads files; it holds no state of any page."""

    def __init__(self, settings: Settings, hub_root: Path | None = None, compiled: Path | None = None) -> None:
        """`compiled`: the folder where compiled templates are kept, one for each state of program, theme and settings.

        Raises Trouble when the language has no words or a theme file is broken.
        """
        self.settings = settings
        self.words = words.load(settings.language, hub_root)
        self.assets = assets.bundles(hub_root)
        for name, data in (
            ("cook-rules.js", rules.rules_script(settings)),
            ("cook-words.js", rules.words_script(settings, self.words)),
            (offline.SCRIPT, offline.script(self.words, hub_root)),
        ):
            self.assets[name] = assets.asset(name, data)
        self.timers = Timers(self.words)
        self.cited = "" if settings.language.partition("-")[0] == "en" else "en"
        self.base_url = settings.base_url.rstrip("/")
        cache = None if compiled is None else CompiledTemplates(compiled)
        self.environment = environment([folder / "templates" for folder in assets.folders(hub_root)], cache)
        self.environment.filters["w"] = self.words
        self._templates: dict[str, jinja2.Template] = {}
        self._sections = [item for item in _NAVIGATION if item[0] != "plans" or has_plans(hub_root)]

    # ------------------------------------------------------------ links

    def root(self, from_page: str) -> str:
        """What leads from a page ('recipes/x/index.html') to the top of the site ('../../')."""
        return "../" * from_page.count("/")

    def url(self, from_page: str, to_path: str) -> str:
        """A relative link between two paths of the site."""
        return self.root(from_page) + safe_path(to_path)

    def absolute(self, path: str) -> str:
        """The page's public address, folders without their index.html; '' when the hub has no base_url."""
        if not self.base_url:
            return ""
        return f"{self.base_url}/{safe_path(path.removesuffix(INDEX) if _is_index(path) else path)}"

    def asset(self, name: str) -> str:
        """The published path of a bundle ('galley.css'); raises Trouble 'unknown-asset'."""
        return assets.pick(self.assets, name).path

    def asset_files(self) -> dict[str, bytes]:
        """Path -> bytes of every asset."""
        return {asset.path: asset.data for asset in self.assets.values()}

    # ------------------------------------------------------------ pages

    def shell(
        self,
        path: str,
        *,
        kind: str,
        title: str,
        description: str = "",
        styles: tuple[str, ...] = (),
        scripts: tuple[str, ...] = (),
        section: str = "",
        og_type: str = "website",
        json_ld: str = "",
        index: bool = True,
        image: Image | None = None,
    ) -> Shell:
        """The frame of one page. `section` is the key of the navigation item it belongs to."""
        root = self.root(path)
        site = self.settings.title
        return Shell(
            title=title,
            full_title=site if path == INDEX else f"{title} · {site}",
            description=description or self.settings.description,
            kind=kind,
            site=site,
            language=self.settings.language,
            direction=self.words.direction,
            cited=self.cited,
            root=root,
            home=root + INDEX,
            canonical=self.absolute(path),
            navigation=tuple(
                NavigationItem(key, self.words(f"nav.{key}"), root + target, key == section)
                for key, target in self._sections
            ),
            styles=tuple(root + self.asset(name) for name in ("galley.css", *styles)),
            scripts=tuple(root + self.asset(name) for name in (offline.SCRIPT, *scripts)),
            icon=root + self.asset("icon.svg"),
            manifest=f"{root}manifest.webmanifest",
            feed=f"{root}feed.xml",
            corrections=f"{root}corrections/index.html",
            security=CONTENT_SECURITY,
            og_type=og_type,
            json_ld=json_ld,
            index=index,
            image=image if image is not None and image.href else None,
        )

    def render(self, template: str, shell: Shell, **view: Any) -> bytes:
        """The page's bytes; raises Trouble 'template' when a template is broken or asks for what it is not given."""
        try:
            found = self._templates.get(template)
            if found is None:
                found = self._templates[template] = self.environment.get_template(template)
            return found.render(shell=shell, **view).encode()
        except jinja2.TemplateSyntaxError as error:
            where = f"{error.name or template}, line {error.lineno}"
            raise Trouble("template", f"{where}: {error.message}", "Mend or remove the template in theme/.") from error
        except (jinja2.TemplateError, AttributeError) as error:
            hint = "The theme's contract lists what the template gets."
            raise Trouble("template", f"{template}: {error}", hint) from error


def has_plans(hub_root: Path | None) -> bool:
    """Whether a hub has prep plans, and so a place for them in the navigation."""
    return hub_root is not None and next((hub_root / "plans").rglob("[!.]*.md"), None) is not None


def _is_index(path: str) -> bool:
    return path == INDEX or path.endswith("/" + INDEX)


def safe_path(path: str) -> str:
    """A site path as it stands in a link, whatever a slug holds."""
    return path if _SAFE_PATH.match(path) else quote(path, safe="/~")
