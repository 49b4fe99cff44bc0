"""The preview: loopback only, rebuilds on a save, shows problems, never touches the published site."""

from __future__ import annotations

import http.client
import json
import re
import time
from collections.abc import Callable, Iterator
from datetime import date

import pytest
from tests.publishing.hub_make import Hub

from gramwright.problems import Trouble
from gramwright.publishing import preview as preview_module
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
    assert get(preview, "/recipes/%00")[0] == 404
    assert get(preview, "/%00/")[0] == 404
    assert get(preview, "/" + "a" * 300)[0] == 404


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


def first_events(preview: Preview, number: str, **headers: str) -> list[str]:
    """What a page that listens is told at once, but for the problems."""
    connection = http.client.HTTPConnection("127.0.0.1", preview.desk.port, timeout=10)
    connection.request("GET", f"/.preview/events?{number}", headers=headers)
    stream, told = connection.getresponse(), []
    while (line := stream.readline().decode().strip()) != "event: problems":
        told.append(line)
    connection.close()
    return told


def test_what_happens_before_a_page_listens_is_told_when_it_does(hub: Hub, unbuilt: Preview) -> None:
    """A save between the sending of a page and its listening; and a page that an earlier preview sent."""
    _, page = get(unbuilt, "/recipes/porridge/")
    sent = re.search(r'preview\.js" data-at="(\d+)"', page)
    assert sent
    assert first_events(unbuilt, sent[1]) == []
    hub.edit("recipes/porridge.md", "title: Porridge", "title: Oat porridge")
    wait_for(lambda: unbuilt.desk.refreshed > int(sent[1]))
    event, number, refresh, _ = first_events(unbuilt, sent[1])
    assert (event, number) == ("event: rebuilt", f"id: {unbuilt.desk.refreshed}")
    assert "recipes/porridge/index.html" in json.loads(refresh.removeprefix("data: "))["only"]
    assert first_events(unbuilt, sent[1], **{"Last-Event-ID": number.removeprefix("id: ")}) == []
    assert first_events(unbuilt, "12")[2] == "data: {}", "everything is to be loaded anew"


@pytest.fixture
def unbuilt(hub: Hub, monkeypatch: pytest.MonkeyPatch) -> Iterator[Preview]:
    """A preview that never comes to build anything after its first build."""
    monkeypatch.setattr(preview_module, "REST", 1e6)
    with Preview(hub.root, 0) as running:
        wait_for(lambda: running._look.ready)
        yield running


def wait_for(holds: Callable[[], bool]) -> None:
    end = time.monotonic() + PATIENCE
    while not holds():
        assert time.monotonic() < end
        time.sleep(0.02)


def test_a_saved_page_is_shown_before_anything_is_built(hub: Hub, unbuilt: Preview) -> None:
    hub.edit("recipes/porridge.md", "title: Porridge", "title: Oat porridge")
    wait_until(unbuilt, "/recipes/porridge/", "<h1>Oat porridge</h1>")
    assert json.loads(get(unbuilt, "/recipes/porridge/facts.json")[1])["title"] == "Oat porridge"
    assert b"<h1>Porridge</h1>" in (unbuilt.desk.site / "recipes/porridge/index.html").read_bytes()
    _, refresh = unbuilt.desk.refreshes[-1]
    assert "recipes/porridge/index.html" in refresh["only"]


def test_what_is_shown_first_is_what_is_built(hub: Hub, unbuilt: Preview) -> None:
    hub.edit("recipes/snacks/fruit-bowl.md", "150 g test apple", "170 g test apple")
    wait_until(unbuilt, "/recipes/fruit-bowl/", "170")
    shown = dict(unbuilt.desk.ahead)
    assert not publish(hub.root, date.today()).has_errors
    published = hub.published()
    assert shown
    assert {path: published[path] for path in shown} == shown


def test_a_broken_save_is_told_before_anything_is_built(hub: Hub, unbuilt: Preview) -> None:
    hub.edit("recipes/porridge.md", "80 g test oats", "80 g test oast")
    wait_for(lambda: bool(unbuilt.desk.problems))
    assert [(one.code, one.place.file, one.place.line) for one in unbuilt.desk.problems] == [
        ("unknown-food", "recipes/porridge.md", 13)
    ]
    assert "<h1>Porridge</h1>" in get(unbuilt, "/recipes/porridge/")[1]
    hub.edit("recipes/porridge.md", "80 g test oast", "90 g test oats")
    wait_for(lambda: not unbuilt.desk.problems)


@pytest.mark.parametrize(
    ("file", "text"),
    [
        ("hub.yaml", "title: Another title\n"),
        ("recipes/new.md", "---\ntitle: New\nportions: 1\n---\n```ingredients\n- 10 g test oats\n```\n"),
        ("foods/more.csv", "food,name,ENERC_kJ\ntest-rice,Test rice,1500\n"),
        ("theme/words/en.yaml", "recipe:\n  method: The way\n"),
    ],
)
def test_anything_but_a_saved_recipe_waits_for_the_build(hub: Hub, unbuilt: Preview, file: str, text: str) -> None:
    hub.write(file, text)
    wait_for(lambda: unbuilt._saved == 1)
    assert not unbuilt.desk.ahead
    hub.edit("recipes/porridge.md", "title: Porridge", "title: Oat porridge")
    wait_for(lambda: unbuilt._saved == 2)
    assert not unbuilt.desk.ahead


def test_lists_follow_and_the_page_on_the_screen_is_not_loaded_twice(hub: Hub, preview: Preview) -> None:
    wait_for(lambda: preview._look.ready)
    before = preview.desk.refreshed
    hub.edit("recipes/porridge.md", "title: Porridge", "title: Oat porridge")
    wait_until(preview, "/recipes/", "Oat porridge")
    wait_for(lambda: preview.desk.refreshed > before and "but" in preview.desk.refreshes[-1][1])
    page = "recipes/porridge/index.html"
    since = [one for number, one in preview.desk.refreshes if number > before]
    assert all(page in one.get("only", ()) or page in one.get("but", ()) for one in since)
    assert not preview.desk.ahead


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
