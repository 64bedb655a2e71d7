"""The page's server beside a bare one, cold start, memory, and dragging in Chromium.

Run it as ``python tests/bench/page.py [CHANGES]``. The bare server is Starlette and uvicorn too: it
reads the same requests as JSON and answers a constant of the same size. Both run at the same time,
and are asked in turn, so that both stand the same weather. See README.md beside this.
"""

from __future__ import annotations

import http.client
import itertools
import json
import math
import os
import random
import re
import shutil
import socket
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from playwright.sync_api import Page

ROOT = Path(__file__).resolve().parents[2]
BARE = """
import json, socket, sys, uvicorn
from starlette.applications import Starlette
from starlette.responses import Response
from starlette.routing import Route
constant = b"x" * int(sys.argv[1])
async def answer(request):
    json.loads(await request.body())
    return Response(constant, media_type="application/json")
app = Starlette(routes=[Route("/api/view", answer, methods=["POST"])])
sock = socket.socket(socket.AF_INET, socket.SOCK_STREAM, socket.IPPROTO_TCP)
sock.bind(("127.0.0.1", 0))
sock.listen()
config = uvicorn.Config(app, log_level="warning", access_log=False)
print(f"http://127.0.0.1:{sock.getsockname()[1]}/", flush=True)
uvicorn.Server(config).run([sock])
"""
FLAGS = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
         "--disable-background-networking", "--disable-component-update",
         "--disable-sync"]  # fmt: skip
JSON = {"Content-Type": "application/json"}


@contextmanager
def serving(*command: str) -> Iterator[tuple[str, int, subprocess.Popen[str]]]:
    """A server that prints its address; host, port and process."""
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "PYTHONUNBUFFERED": "1"}
    process = subprocess.Popen([sys.executable, *command], stdout=subprocess.PIPE, text=True,
                               env=environment)  # fmt: skip
    try:
        assert process.stdout is not None
        found = re.search(r"http://([\d.]+):(\d+)", process.stdout.readline())
        assert found is not None
        yield found[1], int(found[2]), process
    finally:
        process.terminate()
        process.wait(10)


def page(folder: str) -> tuple[str, ...]:
    return "-m", "patterns.cli", "page", folder, "--no-browser", "--port", "0"


class Client:
    """One connection that is kept, without Nagle's delay, as a browser has it."""

    def __init__(self, host: str, port: int) -> None:
        self.connection = http.client.HTTPConnection(host, port, timeout=60)
        self.connection.connect()
        self.connection.sock.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)

    def post(self, path: str, said: object) -> bytes:
        self.connection.request("POST", path, json.dumps(said), JSON)
        return self.connection.getresponse().read()

    def get(self, path: str) -> bytes:
        self.connection.request("GET", path)
        return self.connection.getresponse().read()

    def timed(self, said: object) -> float:
        """Seconds for one change."""
        begun = time.perf_counter()
        self.post("/api/view", said)
        return time.perf_counter() - begun


def changed(texts: dict[str, str], by: random.Random) -> dict[str, str]:
    """The head with another eye, toe and wall, so that nothing that is kept can be used again."""
    new = {
        "eye.length": f"{by.uniform(1.6, 2.1):.5f} in",
        "blade.toe": f"{by.uniform(0.95, 1.3):.5f} in",
        "wall.thickness": f"{by.uniform(0.17, 0.2):.5f} in",
    }
    return texts | new


def memory(process: subprocess.Popen[str]) -> float:
    """Resident memory of a process [MB]; Linux only."""
    status = Path(f"/proc/{process.pid}/status").read_text()
    found = re.search(r"VmRSS:\s+(\d+) kB", status)
    assert found is not None
    return int(found[1]) / 1024.0


def quantiles(times: list[float]) -> tuple[float, float]:
    """Median and 99th percentile [ms]."""
    cut = statistics.quantiles(times, n=100)
    return 1e3 * cut[49], 1e3 * cut[98]


def changes(count: int, heads: tuple[str, ...]) -> None:
    by = random.Random(7)
    print(f"| head | {'p50':>8} | {'p99':>8} | bare p50 | bare p99 | ratio of p50 |")
    print("|---|---|---|---|---|---|")
    with tempfile.TemporaryDirectory() as folder, serving(*page(folder)) as (host, port, process):
        ours = Client(host, port)
        for head in heads:
            asked = {"id": f"shelf/{head}", "units": "in"}
            texts = json.loads(ours.post("/api/open", asked))["texts"]
            said = {"texts": texts, "units": "in"}
            size = len(ours.post("/api/view", said))
            with serving("-c", BARE, str(size)) as (other_host, other_port, _):
                bare = Client(other_host, other_port)
                own, others = [], []
                for i in range(-100, count):
                    said = {"texts": changed(texts, by), "units": "in"}
                    first, second = ours.timed(said), bare.timed(said)
                    if i >= 0:
                        own.append(first)
                        others.append(second)
            (p50, p99), (b50, b99) = quantiles(own), quantiles(others)
            print(f"| {head} | {p50:.1f} ms | {p99:.1f} ms | {b50:.2f} ms | {b99:.2f} ms | "
                  f"{p50 / b50:.1f} |")  # fmt: skip
        texts = json.loads(ours.post("/api/open", {"id": f"shelf/{heads[0]}"}))["texts"]
        print("\n| changes | memory |\n|---|---|")
        done = len(heads) * (count + 100)
        for until in (done, 10_000):
            while done < until:
                ours.post("/api/view", {"texts": changed(texts, by), "units": "in"})
                done += 1
            print(f"| {done:,} | {memory(process):.1f} MB |")


def cold(rounds: int = 5) -> None:
    """From the start of the command until the shelf's pictures are there."""
    times = []
    for _ in range(rounds):
        begun = time.perf_counter()
        with tempfile.TemporaryDirectory() as folder, serving(*page(folder)) as (host, port, _):
            client = Client(host, port)
            client.get("/")
            assert client.get("/api/shelf?units=in").count(b'"picture"') > 10
            times.append(time.perf_counter() - begun)
    print(f"\ncold start to the shelf's pictures: {statistics.median(times):.2f} s "
          f"(least {min(times):.2f}, most {max(times):.2f})")  # fmt: skip


COUNT = """() => {
    window.redrawn = [];
    new MutationObserver(() => requestAnimationFrame(() => window.redrawn.push(performance.now())))
        .observe(document.querySelector("#board path.outline"), {attributeFilter: ["d"]});
}"""


def dragging(heads: tuple[str, ...], seconds: float = 5.0) -> None:
    """Redraws of the outline in a second, while a toe is dragged about; and the first picture."""
    from playwright.sync_api import sync_playwright

    chromium = shutil.which("chromium")
    print("\n| dragged | redraws in a second | longest without one |\n|---|---|---|")
    with sync_playwright() as playwright, tempfile.TemporaryDirectory() as folder:
        browser = playwright.chromium.launch(executable_path=chromium, args=FLAGS)

        def opened() -> Page:
            return browser.new_context(viewport={"width": 1440, "height": 900}).new_page()

        window = opened()
        begun, first = time.perf_counter(), 0.0
        with serving(*page(folder)) as (host, port, _):
            for head in heads:
                window.goto(f"http://{host}:{port}/")
                window.locator("#shelf svg.drawing").first.wait_for()
                first = first or time.perf_counter() - begun
                window.locator(f'[data-head="shelf/{head}"] button').nth(1).click()
                box = window.locator('[data-grip="toe"]').bounding_box()
                assert box is not None
                x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
                window.evaluate(COUNT)
                window.mouse.move(x, y)
                window.mouse.down()
                start = time.perf_counter()
                while (gone := time.perf_counter() - start) < seconds:
                    window.mouse.move(x + 15 * math.sin(9 * gone), y + 25 * math.sin(7 * gone))
                    time.sleep(0.004)
                window.mouse.up()
                at = window.evaluate("window.redrawn")
                longest = max(b - a for a, b in itertools.pairwise(at))
                print(f"| {head} | {len(at) / seconds:.0f} | {longest:.0f} ms |")
                window.close()
                window = opened()
        browser.close()
    print(f"\ncold start to the shelf's pictures in Chromium, a window open before: {first:.2f} s")


if __name__ == "__main__":
    cold()
    dragging(("belt-hatchet", "camp-axe", "carving-axe"))
    changes(int(sys.argv[1]) if len(sys.argv) > 1 else 1000,
            ("belt-hatchet", "camp-axe", "carving-axe"))  # fmt: skip
