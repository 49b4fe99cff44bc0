"""The preview: loopback only, rebuilds on a save, shows problems, never touches the published site."""

from __future__ import annotations

import http.client
import json
import time
from collections.abc import Iterator
from datetime import date

import pytest
from tests.publishing.hub_make import Hub

from gramwright.problems import Trouble
from gramwright.publishing.build import publish
from gramwright.publishing.preview import Preview

pytestmark = pytest.mark.long

PATIENCE = 30.0


@pytest.fixture
def preview(hub: Hub) -> Iterator[Preview]:
    with Preview(hub.root, 0) as running:
        yield running


def get(preview: Preview, path: str, host: str | None = None) -> tuple[int, str]:
    connection = http.client.HTTPConnection("127.0.0.1", preview.desk.port, timeout=10)
    headers = {} if host is None else {"Host": host}
    connection.request("GET", path, headers=headers)
    answer = connection.getresponse()
    body = answer.read().decode()
    connection.close()
    return answer.status, body


def wait_until(preview: Preview, path: str, text: str) -> str:
    end = time.monotonic() + PATIENCE
    while time.monotonic() < end:
        body = get(preview, path)[1]
        if text in body:
            return body
        time.sleep(0.05)
    raise AssertionError(f"{path} never said {text!r}")


def test_pages_are_served_with_the_refreshing_script(preview: Preview, hub: Hub) -> None:
    status, body = get(preview, "/recipes/porridge/")
    assert status == 200
    assert "<h1>Porridge</h1>" in body
    assert "/.preview/preview.js" in body
    assert get(preview, "/.preview/preview.js")[0] == 200
    assert get(preview, "/recipes/nothing/")[0] == 404


def test_a_save_reaches_the_page_and_never_the_published_site(hub: Hub, preview: Preview) -> None:
    publish(hub.root, date.today())
    before = hub.published()
    hub.edit("recipes/porridge.md", "title: Porridge", "title: Oat porridge")
    wait_until(preview, "/recipes/porridge/", "<h1>Oat porridge</h1>")
    assert hub.published() == before


def test_broken_content_keeps_the_last_good_page_and_is_told(hub: Hub, preview: Preview) -> None:
    hub.edit("recipes/porridge.md", "80 g test oats", "80 g test oast")
    end = time.monotonic() + PATIENCE
    while not preview.desk.problems and time.monotonic() < end:
        time.sleep(0.05)
    assert {problem.code for problem in preview.desk.problems} >= {"unknown-food"}
    assert "<h1>Porridge</h1>" in get(preview, "/recipes/porridge/")[1]
    connection = http.client.HTTPConnection("127.0.0.1", preview.desk.port, timeout=10)
    connection.request("GET", "/.preview/events")
    stream = connection.getresponse()
    assert stream.readline() == b"event: problems\n"
    told = json.loads(stream.readline().removeprefix(b"data: "))
    assert ("recipes/porridge.md", 13) in {(problem["file"], problem["line"]) for problem in told}
    connection.close()
    hub.edit("recipes/porridge.md", "80 g test oast", "90 g test oats")
    wait_until(preview, "/recipes/porridge/", "90")


@pytest.mark.parametrize("host", ["evil.example", "evil.example:80", "10.0.0.1"])
def test_other_hosts_are_refused(preview: Preview, host: str) -> None:
    status, body = get(preview, "/", host)
    assert status == 403
    assert "Porridge" not in body


@pytest.mark.parametrize("path", ["/../../hub.yaml", "/%2e%2e/%2e%2e/hub.yaml", "/.preview/../style/base.css"])
def test_nothing_outside_the_site_is_served(preview: Preview, path: str) -> None:
    status, body = get(preview, path)
    assert status == 404
    assert "base_url" not in body


def test_a_taken_port_is_said(hub: Hub, preview: Preview) -> None:
    with pytest.raises(Trouble) as caught:
        Preview(hub.root, preview.desk.port)
    assert caught.value.code == "port-taken"
