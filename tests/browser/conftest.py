"""A headless Chromium for the tests of this folder, and what they open in it.

Where there is no Chromium they are left out, and the summary says so; with ``TASKDATA_BROWSER=required``, as the gate
sets it, its absence is a failure.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from tests.browser.pages import Bench, Watch

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")
PATIENCE_MS = 120_000
"""How long a test waits for something to appear before it fails; on a machine with other work, not a measure."""


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    found = next((path for name in NAMES if (path := shutil.which(name))), None)
    if found is None:
        if os.environ.get("TASKDATA_BROWSER") == "required":
            pytest.fail("No Chromium is installed, and TASKDATA_BROWSER=required asks for one.")
        pytest.skip("no Chromium is installed: the page and the workbench are not tried in a browser")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=found, args=["--no-sandbox"])
        yield browser
        browser.close()


@pytest.fixture
def opened(browser: Browser) -> Iterator[Callable[..., Page]]:
    """Opens an address in a context of its own, without a network where it is a file; no page may complain."""
    contexts, watches = [], []

    def open_page(address: str, width: int = 1440, height: int = 1000, **options: object) -> Page:
        context = browser.new_context(viewport={"width": width, "height": height}, locale="en-GB", **options)  # type: ignore[arg-type]
        contexts.append(context)
        context.set_default_timeout(PATIENCE_MS)
        context.set_offline(address.startswith("file:"))
        page = context.new_page()
        watches.append(Watch(page))
        page.goto(address)
        return page

    yield open_page
    for context in contexts:
        context.close()
    assert [said for watch in watches for said in watch.said] == []


@pytest.fixture(scope="session")
def workbench(browser: Browser) -> Iterator[Callable[[], str]]:
    """Starts a program behind a workbench, and ends all that were started."""
    running = []

    def start() -> str:
        command = [sys.executable, "-m", "taskdata", "workbench", "--no-browser"]
        process = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
        running.append(process)
        assert process.stdout is not None
        return process.stdout.readline().strip()

    yield start
    for process in running:
        process.terminate()
        process.communicate(timeout=60)
    assert {process.returncode for process in running} <= {0}


@pytest.fixture
def bench(opened: Callable[..., Page], workbench: Callable[[], str]) -> Bench:
    """A workbench of its own in a wide window."""
    return Bench(opened(workbench()))


@pytest.fixture(scope="session")
def reports(tmp_path_factory: pytest.TempPathFactory, browser: Browser) -> Callable[..., Path]:
    """Makes the page of a set once."""
    import taskdata

    made: dict[tuple[object, ...], Path] = {}

    def report(source: Path, language: str = "en") -> Path:
        key = (source, language)
        if key not in made:
            made[key] = tmp_path_factory.mktemp("report") / "page.html"
            taskdata.report(source, made[key], language=language)  # type: ignore[arg-type]
        return made[key]

    return report
