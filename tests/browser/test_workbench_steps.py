"""From a dropped stick to a download that passes the check, as a person goes through the workbench."""

from __future__ import annotations

import re
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import taskdata
from tests.browser.pages import Bench, errors_of, faults_for_people, hostile_stick
from tests.samples import BROKEN, OFFICE

if TYPE_CHECKING:
    from playwright.sync_api import Page


def damaged(folder: Path) -> Path:
    """Return a set with errors that can all be repaired: an open ring, an id with zeros, a name in lower case."""
    stick = folder / "stick"
    shutil.copytree(OFFICE, stick / "TASKDATA")
    main = stick / "TASKDATA" / "TASKDATA.XML"
    text = main.read_text(encoding="utf-8")
    text = re.sub(r'<PNT A="2"[^>]*/>(?=\s*</LSG>)', "", text, count=1)
    text = text.replace('"WKR2"', '"WKR0002"')
    text = text.replace('<FRM A="FRM1" B="Hof Ahrenbrook"', f'<FRM A="FRM1" B="{"Hof Ahrenbrook am See " * 3}"')
    main.write_text(text, encoding="utf-8")
    (stick / "TASKDATA" / "PDT00001.XML").rename(stick / "TASKDATA" / "pdt00001.xml")
    return stick


def test_a_damaged_set_becomes_a_sound_one_of_version_3(bench: Bench, tmp_path: Path) -> None:
    stick = damaged(tmp_path)
    before = errors_of(stick)
    assert len({rule for rule, _ in before}) > 2
    bench.drop(stick)
    assert f"{len(before)} errors" in bench.check()
    bench.clean()
    bench.convert("3")
    saved = bench.save(tmp_path / "saved.zip")
    assert errors_of(saved) == []
    assert taskdata.read(saved).version == (3, 3)


def test_the_broken_sample_keeps_what_nothing_can_repair(bench: Bench, tmp_path: Path) -> None:
    bench.drop(BROKEN.parent)
    assert f"{len(errors_of(BROKEN.parent))} errors" in bench.check()
    rules = {(item.severity, item.rule.id) for item in taskdata.check(BROKEN.parent).findings}
    groups = bench.page.locator("#words details")
    assert groups.count() == len(rules)
    bench.clean()
    bench.convert("3")
    saved = bench.save(tmp_path / "saved.zip")
    by_command = tmp_path / "by-command.zip"
    taskdata.clean(BROKEN.parent, tmp_path / "cleaned.zip", to="isoxml", review=True)
    taskdata.convert(tmp_path / "cleaned.zip", by_command, to="isoxml", version=3)
    assert errors_of(saved) == errors_of(by_command)
    assert len(errors_of(saved)) < len(errors_of(BROKEN.parent))


def test_names_are_text_in_every_step(bench: Bench, tmp_path: Path) -> None:
    bench.drop(hostile_stick(tmp_path))
    assert "alert" in bench.page.locator("#words").inner_text()
    bench.check()
    bench.press("Choose")
    assert "alert" in bench.page.locator("#words").inner_text()
    bench.press("Clean")
    bench.press("Show what can be repaired")
    bench.page.locator("#words table, #words form").first.wait_for()
    bench.convert("3")
    assert bench.page.locator("#content img, #content script").count() == 0
    assert bench.page.title() == "taskdata workbench"


def test_keys_alone_lead_through_and_a_reload_loses_nothing(bench: Bench) -> None:
    page = bench.page
    assert not page.locator("#ground").is_visible()
    bench.drop(OFFICE.parent)
    page.locator("#ground").wait_for()
    page.locator("#step-check").focus()
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.id") == "words"
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    page.locator("#summary").wait_for()
    assert page.evaluate("document.activeElement.id") == "words"
    assert page.locator("#said").inner_text() == "Done."
    found = page.locator("#summary").inner_text()
    page.reload()
    bench.press("Check")
    assert page.locator("#summary").inner_text() == found
    page.locator("#layers .layer").first.wait_for()
    page.select_option("#language", "de")
    page.locator(".leaflet-control-zoom-in[title=Vergrößern]").wait_for()
    page.locator("#undo", has_text="Rückgängig: Prüfen").click()
    page.locator("#undo", has_text="Rückgängig: Ablegen").wait_for()
    assert page.locator("#summary").count() == 0


def test_nobody_finds_a_barrier(workbench: Callable[[], str], opened: Callable[..., Page]) -> None:
    address = workbench()
    first = Bench(opened(address))
    first.drop(BROKEN.parent)
    first.check()
    first.press("Clean")
    first.press("Show what can be repaired")
    first.page.get_by_role("button", name="Accept and clean").wait_for()
    first.convert("3")
    found: list[str] = []
    for width, scheme in ((390, "dark"), (1440, "light"), (390, "light"), (1440, "dark")):
        page = opened(address, width, 900, color_scheme=scheme)
        page.locator("#layers .layer").first.wait_for()
        for number in range(page.locator("#steps button").count()):
            page.locator("#steps button").nth(number).click()
            found += [f"{width} {scheme} step {number}: {fault}" for fault in faults_for_people(page)]
    assert found == []
