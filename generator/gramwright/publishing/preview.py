"""Serves a hub on the loopback address and refreshes open pages as files change. Never touches the published site.

The site is built into `.gramwright/preview`, with a working state of its own. When a recipe is saved its own page is
made at once (first_look.py) and shown from memory; the whole hub is built again when the author rests for a moment.
Open pages hear of both over an event stream (WHATWG server-sent events) and reload when they are among what changed.
Broken content keeps the last good pages and shows every problem with file and line on top of them.
"""

from __future__ import annotations

import json
import mimetypes
import threading
import time
from collections import deque
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date
from http import HTTPStatus
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any
from urllib.parse import unquote, urlsplit

from gramwright.problems import Place, Problem, Trouble
from gramwright.publishing.build import WORKING, Result, publish
from gramwright.publishing.first_look import FirstLook
from gramwright.publishing.hub import HubFiles, scan
from gramwright.resources import themes

ADDRESS = "127.0.0.1"
PORT = 8377
LOOK_EVERY = 0.05
"""Seconds between two looks at the hub's files, at the least; a slow look makes for longer pauses."""
REST = 0.4
"""Seconds without a save after which everything is built."""
HEARTBEAT = 15.0
REMEMBERED = 64
"""Refreshes that a page that is slow to listen may still be told apart."""
SPECIAL = "/.preview/"
TYPES = {".webmanifest": "application/manifest+json", ".js": "text/javascript", ".xml": "application/xml"}

Told = Callable[[str], None]


@dataclass(slots=True)
class Desk:
    """What the watcher, the builder and the server share; `changed` guards it."""

    root: Path
    site: Path
    port: int = 0
    problems: list[Problem] = field(default_factory=list)
    ahead: dict[str, bytes] = field(default_factory=dict)
    """Path -> bytes of saved recipes that the site does not have yet."""
    shown: dict[str, bytes] = field(default_factory=dict)
    """Path -> bytes with which open pages were last refreshed ahead of a build."""
    refreshes: deque[tuple[int, dict[str, Any]]] = field(default_factory=lambda: deque(maxlen=REMEMBERED))
    """Numbered: which pages are to be loaded anew, {"only": paths} or {"but": paths}."""
    refreshed: int = field(default_factory=lambda: time.time_ns() // 1_000_000)
    """The last of these numbers; a later preview's are higher, so that pages of an earlier one are loaded anew."""
    looked: int = 0
    """How many times the problems were told."""
    stop: bool = False
    changed: threading.Condition = field(default_factory=threading.Condition)

    def tell(self, problems: list[Problem], refresh: dict[str, Any] | None = None) -> None:
        with self.changed:
            self.problems = problems
            self.looked += 1
            if refresh is not None:
                self.refreshed += 1
                self.refreshes.append((self.refreshed, refresh))
            self.changed.notify_all()

    def since(self, number: int) -> list[tuple[int, dict[str, Any]]]:
        """The refreshes after a number; one of everything when they cannot be told apart any more."""
        with self.changed:
            later = [(at, one) for at, one in self.refreshes if at > number]
            if number == self.refreshed or (later and later[0][0] == number + 1):
                return later
            return [(self.refreshed, {})]


class Preview:
    """A running preview. Use as a context manager; port 0 takes any that is free."""

    def __init__(self, root: Path, port: int = PORT, told: Told | None = None) -> None:
        """Raises Trouble 'no-hub', 'port-taken'."""
        scan(root)
        working = root / WORKING / "preview"
        self.desk = Desk(root, working / "site")
        self._look = FirstLook(working / "site", working / "state.json")
        self._told = told or (lambda _: None)
        self._saved = 0
        """How many changes were seen."""
        self._saved_at = 0.0
        handler = type("Handler", (_Handler,), {"desk": self.desk})
        try:
            self._server = ThreadingHTTPServer((ADDRESS, port), handler)
        except OSError as error:
            raise Trouble(
                "port-taken", f"expected to listen on {ADDRESS}:{port}, found it taken ({error.strerror})", "--port N"
            ) from error
        self._server.daemon_threads = True
        self.desk.port = self._server.server_port

    def __enter__(self) -> Preview:
        self._seen = self._stamps()
        self._build(workers=None)  # no thread runs yet, so processes may be forked
        for work in (self._watch, self._build_on_rest, self._server.serve_forever):
            threading.Thread(target=work, daemon=True).start()
        return self

    def __exit__(self, *_: object) -> None:
        with self.desk.changed:
            self.desk.stop = True
            self.desk.changed.notify_all()
        self._server.shutdown()
        self._server.server_close()

    @property
    def address(self) -> str:
        return f"http://{ADDRESS}:{self.desk.port}/"

    # ------------------------------------------------------------ watching

    def _watch(self) -> None:
        while not self.desk.stop:
            begun = time.monotonic()
            now = self._stamps()
            if now != self._seen:
                if _half_written(self._seen, now):
                    time.sleep(LOOK_EVERY / 2)
                    now = self._stamps()
                before, self._seen = self._seen, now
                self._show_first(before, now)
                with self.desk.changed:
                    self._saved += 1
                    self._saved_at = time.monotonic()
                    self.desk.changed.notify_all()
                continue
            time.sleep(max(LOOK_EVERY, 4 * (time.monotonic() - begun)))

    def _stamps(self) -> HubFiles | str:
        """The hub as it lies there; one that cannot be looked at is another state, not the end."""
        try:
            return scan(self.desk.root)
        except (Trouble, OSError) as error:
            return str(error)

    def _show_first(self, before: HubFiles | str, now: HubFiles | str) -> None:
        """Shows saved recipes at once, where nothing else changed."""
        if isinstance(before, str) or isinstance(now, str) or before.stamps.keys() != now.stamps.keys():
            return
        saved = [name for name, stamp in now.stamps.items() if before.stamps[name] != stamp]
        look = self._look.at(now, saved, date.today())
        if look is None:
            return
        desk = self.desk
        with desk.changed:
            others = [problem for problem in desk.problems if problem.place.file not in saved]
            desk.ahead.update(look.files)
            pages = [path for path in look.files if path.endswith(".html")]
            desk.shown.update((path, look.files[path]) for path in pages)
            desk.tell(sorted([*others, *look.problems], key=lambda one: one.place), {"only": pages} if pages else None)

    # ------------------------------------------------------------ building

    def _build_on_rest(self) -> None:
        self._open_look()
        built = 0
        desk = self.desk
        while True:
            with desk.changed:
                while not desk.stop and self._saved == built:
                    desk.changed.wait()
                while not desk.stop and (rest := self._saved_at + REST - time.monotonic()) > 0:
                    desk.changed.wait(rest)
                built = self._saved
            if desk.stop:
                return
            self._build(workers=1)
            self._open_look()

    def _open_look(self) -> None:
        seen = self._seen
        if not isinstance(seen, str):
            try:
                self._look.open(seen, date.today())
            except OSError:
                return  # the next build says what the machine refuses

    def _build(self, workers: int | None) -> None:
        desk = self.desk
        ahead = dict(desk.ahead)
        try:
            working = desk.root / WORKING / "preview"
            result = publish(desk.root, date.today(), out=desk.site, working=working, workers=workers)
        except Trouble as trouble:
            desk.tell([trouble.at(Place(""))])
            return
        except OSError as error:
            machine = Trouble(
                "machine", f"the machine refused: {error.strerror or error}", "look at disk and permissions"
            )
            desk.tell([machine.at(Place(str(error.filename or "")))])
            return
        desk.tell(result.problems, self._settled(result, ahead))
        self._told(f"{result.written} pages written, {len(result.problems)} problems, {result.seconds:.2f} s")

    def _settled(self, result: Result, ahead: Mapping[str, bytes]) -> dict[str, Any] | None:
        """After a build that began with `ahead`: these are in the site now. Which pages are to be loaded anew."""
        desk = self.desk
        if result.has_errors:
            return None
        with desk.changed:
            for path, data in ahead.items():
                if desk.ahead.get(path) is data:
                    del desk.ahead[path]
            for path, data in list(desk.shown.items()):
                if path not in desk.ahead and not _holds(desk.site / path, data):
                    del desk.shown[path]
            return {"but": list(desk.shown)} if result.written or result.removed else None


def _half_written(before: HubFiles | str, now: HubFiles | str) -> bool:
    """Whether a file is empty that was not: an editor that empties it, then writes it, was caught between."""
    if isinstance(before, str) or isinstance(now, str):
        return False
    return any(not size and before.stamps.get(name, (0, 0))[0] for name, (size, _) in now.stamps.items())


def _holds(file: Path, data: bytes) -> bool:
    try:
        return file.read_bytes() == data
    except OSError:
        return False


class _Handler(BaseHTTPRequestHandler):
    """Answers one request."""

    desk: Desk
    protocol_version = "HTTP/1.1"
    _as_of = 0
    """The last refresh when the page that is sent was looked up."""

    def do_GET(self) -> None:
        if not self._from_here():
            self._plain(HTTPStatus.FORBIDDEN, "This preview answers to the loopback address only.")
            return
        path = unquote(urlsplit(self.path).path)
        if path == f"{SPECIAL}events":
            self._events()
        elif path.startswith(SPECIAL):
            self._file(themes() / "galley" / "preview", path.removeprefix(SPECIAL))
        else:
            self._file(self.desk.site, path.lstrip("/"))

    do_HEAD = do_GET

    def _from_here(self) -> bool:
        """Whether the page asked for is ours: a foreign name that leads to this address is refused."""
        return self.headers.get("Host", "") in {f"{name}:{self.desk.port}" for name in (ADDRESS, "localhost")}

    def _file(self, folder: Path, name: str) -> None:
        with self.desk.changed:
            ahead = self.desk.ahead.get(name + "index.html" if name.endswith("/") else name)
            self._as_of = self.desk.refreshed
        if folder == self.desk.site and ahead is not None:
            self._found(HTTPStatus.OK, Path(name + "index.html" if name.endswith("/") else name), ahead)
            return
        try:
            target = (folder / name).resolve()
            there = target.is_dir()
        except (ValueError, OSError):  # no name that a file can have
            target, there = folder, False
        if there:
            if name and not self.path.partition("?")[0].endswith("/"):
                self.send_response(HTTPStatus.MOVED_PERMANENTLY)
                self.send_header("Location", f"{urlsplit(self.path).path}/")
                self.send_header("Content-Length", "0")
                self.end_headers()
                return
            target /= "index.html"
        status = HTTPStatus.OK
        if not target.is_relative_to(folder.resolve()) or not target.is_file():
            status, target = HTTPStatus.NOT_FOUND, self.desk.site / "404.html"
        try:
            body = target.read_bytes()
        except FileNotFoundError:
            self._bare()
            return
        self._found(status, target, body)

    def _found(self, status: HTTPStatus, target: Path, body: bytes) -> None:
        kind = TYPES.get(target.suffix) or mimetypes.guess_type(target.name)[0] or "application/octet-stream"
        if kind == "text/html":
            body = _with_script(body, self._as_of)
        self._send(status, kind, body)

    def _bare(self) -> None:
        """While nothing could be built yet: an empty page that shows the problems."""
        body = _with_script(
            b"<!doctype html><html lang=en><meta charset=utf-8><title>Preview</title><body></body></html>",
            self._as_of,
        )
        self._send(HTTPStatus.OK, "text/html", body)

    def _plain(self, status: HTTPStatus, text: str) -> None:
        self._send(status, "text/plain", text.encode())

    def _send(self, status: HTTPStatus, kind: str, body: bytes) -> None:
        self.send_response(status)
        self.send_header("Content-Type", f"{kind}; charset=utf-8" if kind.startswith("text/") else kind)
        self.send_header("Content-Length", str(len(body)))
        self.send_header("Cache-Control", "no-store")
        self.send_header("X-Content-Type-Options", "nosniff")
        self.end_headers()
        if self.command != "HEAD":
            self.wfile.write(body)

    def _events(self) -> None:
        """The event stream: the problems at once, every refresh since the page was sent, every change of problems."""
        self.send_response(HTTPStatus.OK)
        self.send_header("Content-Type", "text/event-stream")
        self.send_header("Cache-Control", "no-store")
        self.send_header("Connection", "close")
        self.end_headers()
        desk, refreshed, looked = self.desk, self._page_of(), -1
        try:
            while not desk.stop:
                with desk.changed:
                    if desk.looked == looked:
                        desk.changed.wait(HEARTBEAT)
                    refreshes = desk.since(refreshed)
                    told, problems = desk.looked, [problem.as_json() for problem in desk.problems]
                if told == looked:
                    self.wfile.write(b": still here\n\n")
                else:
                    for refreshed, one in refreshes:
                        self._event("rebuilt", json.dumps(one), refreshed)
                    self._event("problems", json.dumps(problems))
                    looked = told
                self.wfile.flush()
        except (BrokenPipeError, ConnectionResetError):
            return

    def _page_of(self) -> int:
        """The last refresh that the listening page knows of: told over the stream, or when it was sent."""
        said = self.headers.get("Last-Event-ID") or urlsplit(self.path).query
        return int(said) if said.isascii() and said.isdigit() else self.desk.refreshed

    def _event(self, name: str, data: str, number: int | None = None) -> None:
        numbered = "" if number is None else f"id: {number}\n"
        self.wfile.write(f"event: {name}\n{numbered}data: {data}\n\n".encode())

    def log_message(self, format: str, *args: object) -> None:
        """Requests are not told."""


def _with_script(page: bytes, number: int) -> bytes:
    """A page with what listens for the refreshes after `number`."""
    extra = (
        f'<link rel="stylesheet" href="{SPECIAL}preview.css">'
        f'<script src="{SPECIAL}preview.js" data-at="{number}" data-title="The hub has problems"'
        ' data-hint="Way out:"></script>'
    ).encode()
    head, body, tail = page.rpartition(b"</body>")
    return head + extra + body + tail if body else page + extra
