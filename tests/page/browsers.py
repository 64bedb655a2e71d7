"""Debian's Chromium for tests, by Playwright: a page that tells what went wrong in it."""

from __future__ import annotations

import os
import re
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import axe_playwright_python
import pytest
from playwright.sync_api import Browser, ConsoleMessage, Page, expect, sync_playwright

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
FLAGS = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
         "--disable-background-networking", "--disable-component-update",
         "--disable-sync"]  # fmt: skip
SIZES = {"phone": (390, 844), "tablet": (820, 1180), "desk": (1440, 900)}
PATIENCE = 30_000
"""Milliseconds until what is expected must be there: the machine may be busy with other tests."""
expect.set_options(timeout=PATIENCE)
AXE = Path(axe_playwright_python.__file__).parent / "axe.min.js"


@contextmanager
def chromium() -> Iterator[Browser]:
    """The browser; where there is none the tests are skipped, but never in CI."""
    if CHROMIUM is None:
        if os.environ.get("CI"):
            pytest.fail("Chromium is missing: apt-get install chromium")
        pytest.skip("needs Chromium: apt-get install chromium")
    with sync_playwright() as playwright:
        found = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        yield found
        found.close()


@contextmanager
def window(
    browser: Browser, address: str, size: str = "desk", *, watched: bool = True, **more: object
) -> Iterator[Page]:
    """A window of a size on the page. Whatever its console or a script complains of is a failure;
    not so, if it is not ``watched``."""
    wide, tall = SIZES[size]
    context = browser.new_context(
        viewport={"width": wide, "height": tall}, has_touch=size == "phone", **more
    )
    page = context.new_page()
    page.set_default_timeout(PATIENCE)
    wrong: list[str] = []
    page.on("pageerror", lambda error: wrong.append(f"{error}\n{error.stack}"))
    page.on("console", lambda said: wrong.append(said.text) if _amiss(said) else None)
    page.goto(address)
    yield page
    context.close()
    if watched:
        assert wrong == []


def _amiss(said: ConsoleMessage) -> bool:
    """Whether the console complains; that an answer is a refusal in words is no complaint."""
    refused = re.search(r"the server responded with a status of (409|422)", said.text)
    return said.type in ("error", "warning") and refused is None


def faults_of_access(page: Page, *rules: str) -> list[str]:
    """What axe-core finds wrong with the page as it is now: rule, weight and place. All its rules
    are asked, or these alone."""
    if not page.evaluate("'axe' in window"):
        page.evaluate(AXE.read_text(encoding="utf-8"))
    options = {"resultTypes": ["violations"]} | ({"runOnly": list(rules)} if rules else {})
    found = page.evaluate("options => axe.run(document, options)", options)
    return [
        f"{rule['id']} ({rule['impact']}): {node['html'][:200]}: {node['failureSummary']}"
        for rule in found["violations"]
        for node in rule["nodes"]
    ]
