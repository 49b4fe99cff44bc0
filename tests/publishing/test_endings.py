"""How a command ends when it is stopped, when nobody can hear it, and when it is called wrongly: never a traceback."""

from __future__ import annotations

import os
import re
import signal
import socket
import subprocess
import sys
import time
from datetime import date
from pathlib import Path

import pytest
from tests.publishing.hub_make import PORRIDGE, Hub, Run, files_in

from gramwright import cli
from gramwright.cli import main
from gramwright.publishing.build import publish

pytestmark = pytest.mark.long

GENERATOR = Path(__file__).resolve().parent.parent.parent / "generator"
ENVIRONMENT = {**os.environ, "PYTHONPATH": str(GENERATOR)}


def shell(command: str, **more: str) -> subprocess.CompletedProcess[bytes]:
    """A command line of sh; GW stands for the command."""
    line = command.replace("GW", f"'{sys.executable}' -m gramwright")
    return subprocess.run(["sh", "-c", line], env={**ENVIRONMENT, **more}, capture_output=True, timeout=120)


def test_ctrl_c_ends_a_publish_with_one_line_and_leaves_the_site(hub: Hub) -> None:
    publish(hub.root, date.today(), workers=1)
    before = files_in(hub.site)
    for number in range(1500):
        hub.write(f"recipes/more-{number}.md", PORRIDGE.replace("Porridge", f"Porridge {number}"))
    command = [sys.executable, "-m", "gramwright", "publish", str(hub.root), "--workers", "2"]
    with subprocess.Popen(
        command, env=ENVIRONMENT, stdout=subprocess.PIPE, stderr=subprocess.PIPE, start_new_session=True
    ) as process:
        children = Path(f"/proc/{process.pid}/task/{process.pid}/children")
        end = time.monotonic() + 60
        while process.poll() is None and time.monotonic() < end and not children.read_text().strip():
            time.sleep(0.01)
        time.sleep(0.2)
        assert process.poll() is None, "it was done before it could be stopped"
        os.killpg(process.pid, signal.SIGINT)  # as a terminal does: to every process of the group
        out, err = process.communicate(timeout=60)
    assert process.returncode == 130
    assert out == b""
    assert len(err.decode().strip().splitlines()) == 1, err.decode()
    assert "stopped by Ctrl-C" in err.decode()
    assert files_in(hub.site) == before


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="this system has no /dev/full")
def test_a_full_disk_under_the_output_is_code_3() -> None:
    done = shell("GW foods find oats >/dev/full")
    assert done.returncode == 3
    assert b"standard output could not be written" in done.stderr
    assert b"Traceback" not in done.stderr
    assert b"Exception" not in done.stderr


def test_a_closed_output_is_code_3() -> None:
    done = shell("GW foods find oats >&-")
    assert done.returncode == 3
    assert b"closed" in done.stderr
    assert b"Traceback" not in done.stderr


def test_a_reader_who_has_gone_is_no_traceback() -> None:
    done = shell("{ GW foods find oil; echo $? >&2; } | true")
    assert done.stderr.strip() in {b"0", b"3"}


def test_both_closed_still_ends() -> None:
    assert shell("GW foods find oats >&- 2>&-").returncode == 3


def test_letters_that_the_terminal_lacks_are_replaced(hub: Hub) -> None:
    hub.edit("foods/own.csv", "Test oats", "Test o\u00e4ts")
    done = shell(f"GW foods find test '{hub.root}'", PYTHONIOENCODING="ascii")
    assert done.returncode == 0
    assert b"Test o?ts" in done.stdout
    assert done.stderr == b""


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["preview", "HUB", "--port", "99999"], "expected a port from 1 to 65535, found '99999'"),
        (["preview", "HUB", "--port", "0"], "expected a port from 1 to 65535, found '0'"),
        (["publish", "HUB", "--workers", "x"], "expected a whole number from 1, found 'x'"),
        (["proof", "HUB", "--workers", "0"], "expected a whole number from 1, found '0'"),
        (["compare", "HUB", "--least", "x"], "expected a percentage from 0 to 100, found 'x'"),
        (["compare", "HUB", "--least", "nan"], "expected a percentage from 0 to 100, found 'nan'"),
    ],
)
def test_a_wrong_number_says_what_was_expected(
    arguments: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit) as caught:
        main(arguments)
    assert caught.value.code == 2
    assert said in capsys.readouterr().err


def test_a_port_in_use_is_code_3(hub: Hub, run: Run) -> None:
    with socket.create_server(("127.0.0.1", 0)) as taken:
        code, data = run("preview", hub.root, "--port", taken.getsockname()[1])
    assert (code, data["problems"][0]["code"]) == (3, "port-taken")


@pytest.mark.parametrize("code", sorted(cli.USAGE_CODES | cli.MACHINE_CODES))
def test_a_code_that_ends_a_command_is_raised_somewhere(code: str) -> None:
    sources = Path(cli.__file__).resolve().parent.rglob("*.py")
    raised = re.compile(rf'(?:Trouble|error|warn)\(\s*"{re.escape(code)}"')
    assert any(raised.search(path.read_text(encoding="utf-8")) for path in sources), code
