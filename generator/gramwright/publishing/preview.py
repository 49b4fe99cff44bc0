"""Serves a hub on the loopback address and refreshes open pages as files change. Never touches the published site.

The site is built into `.gramwright/preview`, with a working state of its own. When a file changes the hub is built
again; open pages hear of it over an event stream (WHATWG server-sent events) and reload. Broken content keeps the
last good pages and shows every problem with file and line on top of them.
"""

from __future__ import annotations

import json
import mimetypes
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date
from http import HTTPStatus
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from urllib.parse import unquote, urlsplit

from gramwright.problems import Place, Problem, Trouble
from gramwright.publishing.build import WORKING, publish
from gramwright.publishing.hub import scan
from gramwright.resources import themes

ADDRESS = "127.0.0.1"
PORT = 8377
LOOK_EVERY = 0.08
"""Seconds between two looks at the hub's files, at the least; a slow look makes for longer pauses."""
HEARTBEAT = 15.0
SPECIAL = "/.preview/"
TYPES = {".webmanifest": "application/manifest+json", ".js": "text/javascript", ".xml": "application/xml"}

Told = Callable[[str], None]


@dataclass(slots=True)
class Desk:
    """What the watcher and the server share."""

    root: Path
    site: Path
    port: int = 0
    problems: list[Problem] = field(default_factory=list)
    built: int = 0
    """How many times the pages changed."""
    looked: int = 0
    """How many times the hub was looked through after a change."""
    stop: bool = False
    changed: threading.Condition = field(default_factory=threading.Condition)

    def tell(self, problems: list[Problem], pages_changed: bool) -> None:
        with self.changed:
            self.problems = problems
            self.looked += 1
            self.built += pages_changed
            self.changed.notify_all()


class Preview:
    """A running preview. Use as a context manager; port 0 takes any that is free."""

    def __init__(self, root: Path, port: int = PORT, told: Told | None = None) -> None:
        """Raises Trouble 'no-hub', 'port-taken'."""
        scan(root)
        self.desk = Desk(root, root / WORKING / "preview" / "site")
        self._told = told or (lambda _: None)
        handler = type("Handler", (_Handler,), {"desk": self.desk})
        try:
            self._server = ThreadingHTTPServer((ADDRESS, port), handler)
        except OSError as error:
            raise Trouble(
                "port-taken", f"expected to listen on {ADDRESS}:{port}, found it taken ({error.strerror})", "--port N"
            ) from error
        self._server.daemon_threads = True
        self.desk.port = self._server.server_port
        self._watcher = threading.Thread(target=self._watch, daemon=True)

    def __enter__(self) -> Preview:
        self._build()
        self._watcher.start()
        threading.Thread(target=self._server.serve_forever, daemon=True).start()
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

    def _watch(self) -> None:
        seen = self._stamps()
        while not self.desk.stop:
            begun = time.monotonic()
            now = self._stamps()
            if now != seen:
                seen = now
                self._build()
            time.sleep(max(LOOK_EVERY, 4 * (time.monotonic() - begun)) if now == seen else LOOK_EVERY)

    def _stamps(self) -> object:
        """The hub's files by size and time; a hub that cannot be looked at is another state, not the end."""
        try:
            return dict(scan(self.desk.root).stamps)
        except (Trouble, OSError) as error:
            return str(error)

    def _build(self) -> None:
        desk = self.desk
        try:
            result = publish(desk.root, date.today(), out=desk.site, working=desk.root / WORKING / "preview", workers=1)
        except Trouble as trouble:
            desk.tell([trouble.at(Place(""))], False)
            return
        except OSError as error:
            machine = Trouble(
                "machine", f"the machine refused: {error.strerror or error}", "look at disk and permissions"
            )
            desk.tell([machine.at(Place(str(error.filename or "")))], False)
            return
        changed = not result.has_errors and bool(result.written or result.removed)
        desk.tell(result.problems, changed)
        self._told(f"{result.written} pages written, {len(result.problems)} problems, {result.seconds:.2f} s")


class _Handler(BaseHTTPRequestHandler):
    """Answers one request."""

    desk: Desk
    protocol_version = "HTTP/1.1"

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
        target = (folder / name).resolve()
        if target.is_dir():
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
        kind = TYPES.get(target.suffix) or mimetypes.guess_type(target.name)[0] or "application/octet-stream"
        if kind == "text/html":
            body = _with_script(body)
        self._send(status, kind, body)

    def _bare(self) -> None:
        """While nothing could be built yet: an empty page that shows the problems."""
        body = _with_script(
            b"<!doctype html><html lang=en><meta charset=utf-8><title>Preview</title><body></body></html>"
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
        """The event stream: the problems at once, then every rebuild and every change of the problems."""
        self.send_response(HTTPStatus.OK)
        self.send_header("Content-Type", "text/event-stream")
        self.send_header("Cache-Control", "no-store")
        self.send_header("Connection", "close")
        self.end_headers()
        desk = self.desk
        built, looked = desk.built, -1
        try:
            while not desk.stop:
                with desk.changed:
                    if desk.looked == looked:
                        desk.changed.wait(HEARTBEAT)
                    news = (desk.built, desk.looked, [problem.as_json() for problem in desk.problems])
                if news[0] != built:
                    built = news[0]
                    self._event("rebuilt", "{}")
                elif news[1] != looked:
                    self._event("problems", json.dumps(news[2]))
                else:
                    self.wfile.write(b": still here\n\n")
                looked = news[1]
                self.wfile.flush()
        except (BrokenPipeError, ConnectionResetError):
            return

    def _event(self, name: str, data: str) -> None:
        self.wfile.write(f"event: {name}\ndata: {data}\n\n".encode())

    def log_message(self, format: str, *args: object) -> None:
        """Requests are not told."""


def _with_script(page: bytes) -> bytes:
    extra = (
        f'<link rel="stylesheet" href="{SPECIAL}preview.css">'
        f'<script src="{SPECIAL}preview.js" data-title="The hub has problems" data-hint="Way out:"></script>'
    ).encode()
    head, body, tail = page.rpartition(b"</body>")
    return head + extra + body + tail if body else page + extra
