"""A page's server for tests: in this process, or as it is run, with its folder and address."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from starlette.testclient import TestClient

from patterns.page.folders import Folders
from patterns.page.guard import Door
from patterns.page.jobs import Jobs
from patterns.page.server import Bench, app

HOST = "127.0.0.1:8000"
ROOT = Path(__file__).parent.parent.parent


@contextmanager
def client(folder: Path, door: Door | None = None, **named: Path) -> Iterator[TestClient]:
    """A client of the application over a folder of heads, with the files that are named."""
    bench = Bench(Folders(folder), Jobs(), **named)
    made = app(bench, door or Door({HOST}, 8000))
    with TestClient(made, base_url=f"http://{HOST}", raise_server_exceptions=False) as found:
        yield found


@contextmanager
def running(folder: Path, *options: str) -> Iterator[tuple[str, subprocess.Popen[str]]]:
    """The command as it is run, on a port that is free; its address and its process."""
    process = subprocess.Popen(
        [sys.executable, "-m", "patterns.cli", "page", str(folder), "--no-browser", "--port", "0",
         *options],
        stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True,
        env={**os.environ, "PYTHONPATH": str(ROOT), "PYTHONUNBUFFERED": "1"},
    )  # fmt: skip
    try:
        assert process.stdout is not None
        line = process.stdout.readline()
        found = re.search(r"http://\S+", line)
        assert found is not None, line + process.stdout.read()
        yield found[0], process
    finally:
        process.terminate()
        try:
            process.wait(10)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()
        if process.stdout is not None:
            process.stdout.close()
