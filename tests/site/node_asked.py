"""The browser's own code, run by Node and asked through a pipe."""

from __future__ import annotations

import json
import shutil
import subprocess
from collections.abc import Iterable
from pathlib import Path
from typing import Any

HERE = Path(__file__).resolve().parent


class NodeAsked:
    """One runner (a .cjs beside this file) with the files that it loads: a line of JSON asks, a line answers."""

    def __init__(self, runner: str, files: Iterable[Path]) -> None:
        node = shutil.which("node")
        assert node, "Node is needed to run the browser's code"
        self.process = subprocess.Popen(
            [node, str(HERE / runner), *map(str, files)],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            encoding="utf-8",
        )

    def ask(self, **request: Any) -> Any:
        assert self.process.stdin
        assert self.process.stdout
        self.process.stdin.write(json.dumps(request) + "\n")
        self.process.stdin.flush()
        line = self.process.stdout.readline()
        assert line, "the page's code stopped"
        return json.loads(line)

    def close(self) -> None:
        assert self.process.stdin
        assert self.process.stdout
        self.process.stdin.close()
        self.process.wait(10)
        self.process.stdout.close()
