"""From version to version: whole sets come through, and nothing is lost that the ledger does not name."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings

from taskdata.adapt.versions import to_version
from taskdata.errors import UsageError
from taskdata.isoxml.reading.read import read_document
from taskdata.isoxml.tree.differences import differences
from taskdata.isoxml.tree.document import Document
from taskdata.isoxml.tree.element import Element
from tests import samples
from tests.adapt.sets import errors, facts, made, unexplained, written
from tests.generate import FileSetContent, file_sets
from tests.heavy import examples

ALL = (*samples.SOUND, samples.BROKEN)
WRITER = {
    ("ISO11783_TaskData", name)
    for name in (
        "DataTransferOrigin",
        "ManagementSoftwareManufacturer",
        "ManagementSoftwareVersion",
        "TaskControllerManufacturer",
        "TaskControllerVersion",
    )
}
OTHER = {3: 4, 4: 3}
few = settings(max_examples=examples(8), suppress_health_check=[HealthCheck.too_slow], deadline=None)


def there_and_back(document: Document) -> tuple[Document, list[object]]:
    assert document.version is not None
    major = document.version[0]
    away, first = to_version(document, OTHER[major])
    back, second = to_version(written(away), major)
    return written(back), [*first, *second]


def is_open(ring: Element) -> bool:
    points = ring.coordinates()
    return bool((points[0] != points[-1]).any())


def sound_after(document: Document, major: int) -> None:
    """The result is of that version, reads back as it was made, and has no error that the source has not."""
    result, _ = to_version(document, major)
    again = written(result)
    assert again.version == (major, 3)
    assert list(differences(result, again)) == []
    assert not errors(again) - errors(document)


@pytest.mark.parametrize("path", ALL, ids=lambda path: path.parent.name)
def test_samples_stay_sound_and_the_source_stays_as_it_was(path: Path) -> None:
    document = read_document(path)
    assert document.version is not None
    sound_after(document, OTHER[document.version[0]])
    assert list(differences(document, read_document(path))) == []


@pytest.mark.parametrize("path", ALL, ids=lambda path: path.parent.name)
def test_a_sample_comes_back_up_to_the_ledger(path: Path) -> None:
    document = read_document(path)
    back, ledger = there_and_back(document)
    assert unexplained(document, back, ledger) == []


def test_the_older_sample_comes_back_but_for_writer_withdrawn_time_and_closed_rings() -> None:
    """Up to version 4 and down again: polygons, zones and lines that were parted are one again, under their codes."""
    document = read_document(samples.OLDER)
    back, _ = there_and_back(document)
    before, after = facts(document), facts(back)
    repeated = sum(1 for item in document.by_tag["LSG"] if item["LineStringType"] in {"1", "2"} and is_open(item))
    assert {fact[1:3] for fact in before - after} == {("TIM", "D"), *WRITER}
    added = after - before
    assert {fact[1] for fact in added if fact[1:3] not in WRITER and fact[1] != "TIM"} == {"PNT"}
    assert sum(count for fact, count in added.items() if fact[1:3] == ("PNT", "A")) == repeated > 0


@few
@given(content=file_sets(version=4, small=True))
def test_any_set_of_version_4_becomes_a_sound_one_of_version_3(content: FileSetContent) -> None:
    sound_after(content.document(), 3)


@few
@given(content=file_sets(version=3, small=True))
def test_any_set_of_version_3_becomes_a_sound_one_of_version_4(content: FileSetContent) -> None:
    sound_after(content.document(), 4)


@few
@given(content=file_sets(version=2, small=True))
def test_any_set_of_version_2_becomes_a_sound_one_of_both(content: FileSetContent) -> None:
    for major in (3, 4):
        sound_after(content.document(), major)


@few
@given(content=file_sets(version=3, small=True))
def test_up_and_down_again_returns_the_set_up_to_the_ledger(content: FileSetContent) -> None:
    document = content.document()
    back, ledger = there_and_back(document)
    assert unexplained(document, back, ledger) == []


@few
@given(content=file_sets(version=4, small=True))
def test_down_and_up_again_loses_only_what_the_ledger_said(content: FileSetContent) -> None:
    document = content.document()
    back, ledger = there_and_back(document)
    assert unexplained(document, back, ledger) == []


def test_the_same_version_costs_nothing() -> None:
    document = read_document(samples.OFFICE)
    copy, ledger = to_version(document, 4)
    assert ledger == []
    assert list(differences(document, copy)) == []


@pytest.mark.parametrize("major", [0, 2, 5])
def test_other_versions_are_not_written(major: int) -> None:
    with pytest.raises(UsageError, match="Choose 3 or 4"):
        to_version(made(4, ""), major)


@pytest.mark.parametrize("text", ["five", "7", ""])
def test_a_set_of_no_known_version_is_refused(text: str) -> None:
    document = made(4, "")
    document.root.set("VersionMajor", text)
    with pytest.raises(UsageError, match="VersionMajor"):
        to_version(document, 3)
