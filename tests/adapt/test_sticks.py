"""A set over several sticks: each is whole and within the limits, together they are the set; merged, they give it."""

from __future__ import annotations

import zipfile
from collections import Counter
from pathlib import Path

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from taskdata.adapt.receivers import to_receiver
from taskdata.adapt.sticks.split import Stick, split
from taskdata.api import compare, merge
from taskdata.errors import TargetError
from taskdata.exchange.convert import convert
from taskdata.isoxml.reading.read import read_document
from taskdata.isoxml.to_document.apply import WRITER, WRITER_VERSION
from taskdata.isoxml.to_model.dataset import to_dataset
from taskdata.isoxml.tree.document import Document
from taskdata.isoxml.writing.write import xml_bytes
from taskdata.ledger import Loss
from taskdata.model.receiver import Receiver
from taskdata.sets.compare import compare as compared
from taskdata.sets.merge import merge as merged
from taskdata.sets.side import Side
from tests import samples
from tests.adapt.sets import errors, facts, made, whats, written
from tests.adapt.test_receivers import left
from tests.generate import FileSetContent, file_sets
from tests.heavy import examples

LIMITS = {
    "fields": {"limits.fields": 2},
    "tasks": {"limits.tasks": 1},
    "lines": {"limits.guidance_lines": 3, "limits.tasks": 4},
    "names too": {"limits.fields": 3, "names.longest": 12, "names.characters": "ascii"},
    "older too": {"limits.tasks": 1, "receiver.versions": [3], "takes.external_files": False},
}
_OF_THE_ROOTS = (" of the set", " of the link list")


def parted(document: Document, values: dict[str, object]) -> tuple[Document, list[Stick], list[Loss]]:
    """Return the whole set as adapted, the sticks as they read back, and the ledger."""
    receiver = Receiver(values)
    whole, losses = to_receiver(document, receiver)
    whole, sticks, more = split(whole, receiver)
    return whole, [Stick(item.name, written(item.document)) for item in sticks], [*losses, *more]


def told(document: Document) -> set[object]:
    """Return everything a set says but for its root, the machine's capabilities and the length of its link list."""
    found = facts(document)
    return {
        fact
        for fact in found
        if fact[1] not in {"ISO11783_TaskData", "TCC", "stray"} and not (fact[1] == "AFE" and fact[2] == "F")
    }


def logs(document: Document) -> list[str]:
    return [name for name in document.others if name.startswith("TLG") and name.endswith(".BIN")]


def assert_whole_and_together_the_set(
    whole: Document, sticks: list[Stick], ledger: list[Loss], values: dict[str, object]
) -> None:
    for stick in sticks:
        assert left(stick.document, Receiver(values)) == []
        assert not errors(stick.document) - errors(written(whole))
    assert set().union(*(told(stick.document) for stick in sticks)) == told(written(whole))
    placed = Counter(name for stick in sticks for name in logs(stick.document))
    assert placed == Counter(logs(whole))
    once = {loss.element for loss in ledger if loss.what.startswith(("goes to", "is on"))}
    assert once >= {item.id for tag in ("PFD", "TSK") for item in whole.top(tag)}


@pytest.mark.parametrize("values", LIMITS.values(), ids=LIMITS)
@pytest.mark.parametrize("path", samples.SOUND, ids=lambda path: path.parent.name)
def test_sticks_of_samples_are_whole_and_merge_to_the_set(path: Path, values: dict[str, object]) -> None:
    document = read_document(path)
    whole, sticks, ledger = parted(document, values)
    if not sticks:
        assert not left(whole, Receiver(values))
        return
    assert_whole_and_together_the_set(whole, sticks, ledger, values)
    sides = [Side(stick.document, to_dataset(stick.document)) for stick in sticks]
    result = merged(sides[::-1]).document
    back = compared(Side(whole, to_dataset(whole)), Side(result, to_dataset(result)))
    grave = [item for item in back.differences if not item.what.endswith(_OF_THE_ROOTS)]
    assert [item for item in grave if "LINKLIST.XML" not in item.what and "Capabilities" not in item.what] == []


@settings(
    max_examples=examples(5), suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much], deadline=None
)
@given(content=file_sets(), limit=st.sampled_from(["limits.tasks", "limits.main_file_bytes"]))
def test_sticks_of_any_set_are_whole(content: FileSetContent, limit: str) -> None:
    document = content.document()
    most = 1 if limit == "limits.tasks" else int(0.8 * len(xml_bytes(document.main)))
    try:
        whole, sticks, ledger = parted(document, {limit: most})
    except TargetError:
        assume(limit == "limits.tasks")
        raise
    assume(sticks)
    assert_whole_and_together_the_set(whole, sticks, ledger, {limit: most})


FIELDS = "".join(f'<PFD A="PFD{at}" C="F{at}" D="0" E="CTR{at}"/><CTR A="CTR{at}" B="C{at}"/>' for at in (1, 2, -3))
TASKS = "".join(f'<TSK A="TSK{at}" G="1" E="PFD1"/>' for at in range(1, 6))


def places(document: Document, **limits: int) -> list[list[str]]:
    """Return the fields and tasks on each stick."""
    _, sticks, _ = parted(document, {f"limits.{name}": limit for name, limit in limits.items()})
    tops = (stick.document.top("PFD") + stick.document.top("TSK") for stick in sticks)
    return [[item.id or "" for item in items] for items in tops]


def test_a_field_with_more_tasks_than_a_stick_takes_stands_on_several() -> None:
    document = made(3, FIELDS + TASKS + '<TSK A="TSK-9" G="1"/>')
    assert places(document, tasks=2) == [
        ["PFD1", "PFD2", "PFD-3", "TSK1", "TSK2"],
        ["PFD1", "TSK3", "TSK4"],
        ["PFD1", "TSK5", "TSK-9"],
    ]
    assert places(document, tasks=2, fields=1) == [
        ["PFD1", "TSK1", "TSK2"],
        ["PFD1", "TSK3", "TSK4"],
        ["PFD1", "TSK5", "TSK-9"],
        ["PFD2"],
        ["PFD-3"],
    ]
    assert places(document, tasks=6, fields=3) == []


def test_a_task_without_a_field_finds_the_first_stick_with_room() -> None:
    body = '<PFD A="PFD1" C="a" D="0"/><PFD A="PFD2" C="b" D="0"/><TSK A="TSK1" G="1" E="PFD1"/><TSK A="TSK2" G="1"/>'
    assert places(made(4, body), fields=1) == [["PFD1", "TSK1", "TSK2"], ["PFD2"]]
    assert places(made(4, body), fields=1, tasks=1) == [["PFD1", "TSK1"], ["PFD2", "TSK2"]]


def test_what_is_referred_to_follows_and_the_ledger_says_so() -> None:
    _, sticks, ledger = parted(made(3, FIELDS), {"limits.fields": 2, "receiver.name": "Kabine"})
    customers = [{item.id for item in stick.document.top("CTR")} for stick in sticks]
    assert customers == [{"CTR1", "CTR2", "CTR-3"}] * 2
    assert "PFD-3: goes to stick2 of 2" in whats(ledger)
    assert "CTR1: is on all sticks" in whats(ledger)
    assert "Kabine: 3 fields where it accepts 2" in {loss.why for loss in ledger}
    hint = {"limits.fields": 2, "inferred.entries": ["limits.fields"]}
    assert parted(made(3, FIELDS), hint)[1:] == ([], [])


def test_without_room_only_what_is_needed_stands_on_a_stick() -> None:
    """The size of the main file counts to the byte."""

    def of_this_program(body: str) -> Document:
        document = made(3, body)
        document.root.set("ManagementSoftwareManufacturer", WRITER)
        document.root.set("ManagementSoftwareVersion", WRITER_VERSION)
        return document

    document = of_this_program(FIELDS)
    size = len(xml_bytes(document.main))
    assert parted(document, {"limits.main_file_bytes": size})[1:] == ([], [])
    assert len(parted(document, {"limits.main_file_bytes": size - 1})[1]) == 2
    one = len(xml_bytes(of_this_program('<PFD A="PFD-3" C="F-3" D="0" E="CTR-3"/><CTR A="CTR-3" B="C-3"/>').main))
    _, sticks, _ = parted(document, {"limits.main_file_bytes": one})
    assert [[item.id for item in stick.document.top("CTR")] for stick in sticks] == [["CTR1"], ["CTR2"], ["CTR-3"]]
    with pytest.raises(TargetError, match=r"PFD-3.*bytes in the main file"):
        parted(document, {"limits.main_file_bytes": one - 1})


@pytest.mark.parametrize(
    ("values", "words"),
    [
        (
            {"limits.guidance_lines": 1},
            ("PFD1", "Große Breite", "3 guidance lines where it accepts 1", 'leave_out="GPN1"', 'leave_out="GPN3"'),
        ),
        ({"limits.tasks": 0}, ("TSK1", "1 task where it accepts 0", 'leave_out="TSK1"')),
        (
            {"limits.main_file_bytes": 1000},
            ("PFD1", "bytes in the main file where it accepts 1000", 'leave_out="PFD1"'),
        ),
    ],
)
def test_what_is_too_much_alone_is_named(values: dict[str, object], words: tuple[str, ...]) -> None:
    with pytest.raises(TargetError) as caught:
        parted(read_document(samples.OFFICE), values)
    assert all(word in str(caught.value) for word in words)
    assert "\n" not in str(caught.value)


def test_sticks_in_an_archive_are_those_in_a_folder(tmp_path: Path) -> None:
    receiver = Receiver({"limits.fields": 3})
    one = convert(samples.MACHINE, tmp_path / "s", to="isoxml", receiver=receiver, verify=True)
    two = convert(samples.MACHINE, tmp_path / "s.zip", receiver=receiver, verify=True)
    assert [item.fields for item in one.sticks] == [item.fields for item in two.sticks]
    assert [item.written["logs"] for item in one.sticks] == [1, 2]
    assert not (tmp_path / "s" / "stick1" / "TASKDATA" / "TLG00003.BIN").exists()
    with zipfile.ZipFile(tmp_path / "s.zip") as archive:
        archive.extractall(tmp_path / "z")
    names = sorted(item.relative_to(tmp_path / "z") for item in (tmp_path / "z").rglob("*"))
    assert names == sorted(item.relative_to(tmp_path / "s") for item in (tmp_path / "s").rglob("*"))
    for name in names:
        if (tmp_path / "s" / name).is_file():
            assert (tmp_path / "s" / name).read_bytes() == (tmp_path / "z" / name).read_bytes()


def test_merging_the_folders_of_the_sticks_gives_the_set_back(tmp_path: Path) -> None:
    done = convert(samples.OFFICE, tmp_path / "s", to="isoxml", receiver=Receiver({"limits.fields": 2}))
    merge([item.target for item in done.sticks], tmp_path / "m")
    found = compare(samples.OFFICE, tmp_path / "m").differences
    signed = {"ManagementSoftwareManufacturer of the set", "ManagementSoftwareVersion of the set"}
    assert {item.what for item in found} <= signed | {"FileLength of AttachedFile LINKLIST.XML"}


def test_an_external_file_goes_where_its_content_goes() -> None:
    """In samples/office PFD00001.XML holds PFD3, and PDT00001.XML a product."""
    _, sticks, _ = parted(read_document(samples.OFFICE), {"limits.fields": 2})
    files = [{file.name for file in stick.document.xml_files if file.role == "external"} for stick in sticks]
    assert files == [{"PDT00001.XML"}, {"PDT00001.XML"}, {"PDT00001.XML", "PFD00001.XML"}]
