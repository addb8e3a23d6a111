"""What tests do with a page in a browser."""

from __future__ import annotations

import html
import re
import shutil
from pathlib import Path
from typing import TYPE_CHECKING

import taskdata
from tests.samples import OFFICE

if TYPE_CHECKING:
    from playwright.sync_api import Page

HOSTILE = "</script><script>alert(1)</script><img src=x onerror=alert(2)>&amp;\"'\u202e\u009b31m \\u003c"
"""A name that is markup, ends quotes, turns the direction of writing, and holds escapes of terminals and of JSON."""

NAMED = {"CTR": "B", "FRM": "B", "PFD": "C", "TSK": "B", "GPN": "B", "LSG": "B", "PDT": "B", "TZN": "B", "PLN": "B"}
"""Elements and the attribute that holds their name."""


class Watch:
    """What a page says on its console, what fails in it, and what it asks for over a network."""

    def __init__(self, page: Page) -> None:
        self.said: list[str] = []
        page.on("console", lambda message: self.said.append(f"{message.type}: {message.text}"))
        page.on("pageerror", lambda error: self.said.append(f"failed: {error}"))
        page.on("requestfailed", lambda request: self.said.append(f"request: {request.url}"))


class Bench:
    """The page of a workbench, and its steps as a person takes them."""

    def __init__(self, page: Page) -> None:
        self.page = page

    def press(self, name: str) -> None:
        self.page.get_by_role("button", name=name, exact=True).click()

    def drop(self, folder: Path) -> None:
        """Choose a folder as one is dropped, and wait for what lies in it."""
        self.page.set_input_files("#drop input[webkitdirectory]", folder)
        self.page.locator("#words table").first.wait_for()

    def check(self) -> str:
        self.press("Check")
        self.press("Check the set")
        return self.page.locator("#summary").inner_text()

    def clean(self) -> None:
        self.press("Clean")
        self.press("Show what can be repaired")
        self.press("Accept and clean")
        self.page.get_by_text("The set was cleaned.").wait_for()

    def convert(self, version: str) -> None:
        self.press("Convert")
        self.page.select_option("select[name=version]", version)
        self.press("Show what would change")
        self.page.get_by_role("heading", name="What would change").wait_for()

    def save(self, place: Path) -> Path:
        """Download what was made."""
        self.press("Save")
        self.press("Make the file")
        with self.page.expect_download() as download:
            self.page.locator("#download").click()
        download.value.save_as(place)
        return place


def errors_of(source: Path) -> list[tuple[str, str]]:
    """Return the errors of a set: the rule, and what it is about."""
    report = taskdata.check(source)
    found = [item for item in report.findings if item.severity == "error"]
    assert len(found) == report.summary["error"]
    return sorted((item.rule.id, item.place.element or item.place.file or "") for item in found)


def faults_for_people(page: Page) -> list[str]:
    """Return what axe-core finds on a page, of any level; the picture that only a printed page shows is left out."""
    from axe_playwright_python.sync_playwright import Axe

    found = Axe().run(page, context={"exclude": [[".still"]]}).response["violations"]
    return [f"{item['id']}: {node['html'][:120]}" for item in found for node in item["nodes"]]


def hostile_stick(folder: Path) -> Path:
    """Return a set whose customers, farms, fields, lines, points and tasks have a hostile name."""
    stick = folder / "stick"
    shutil.copytree(OFFICE, stick / "TASKDATA")
    main = stick / "TASKDATA" / "TASKDATA.XML"
    text = main.read_text(encoding="utf-8")
    for tag, attribute in NAMED.items():
        pattern = re.compile(rf'(<{tag} [^>]*?\b{attribute}=)"[^"]*"')
        text = pattern.sub(lambda at: f'{at[1]}"{html.escape(HOSTILE)}"', text)
    main.write_text(text, encoding="utf-8")
    return stick
