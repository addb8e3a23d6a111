"""The sample sets: made again to the byte, small, and sound by an independent reading of the fact tables."""

from __future__ import annotations

import re
import subprocess
import sys
import uuid
from decimal import Decimal, InvalidOperation
from pathlib import Path
from xml.etree import ElementTree

import pytest

from taskdata import api
from taskdata.isoxml import facts
from tests import samples as paths
from tests.sample_reading import Element, document, elements, get, get_id, parse, version

SETS = [pytest.param(folder, id=folder.parent.name) for folder in paths.SOUND]
STICKS = [pytest.param(folder, id=folder.parent.name) for folder in paths.STICKS]
MADE_UNREADABLE = {"VPN00001.XML"}
BIT_SETS = {
    ("DLT", "DataLogMethod"),
    ("DPD", "DeviceProcessDataProperty"),
    ("DPD", "DeviceProcessDataTriggerMethods"),
    ("TCC", "ProvidedCapabilities"),
}


def _files(folder: Path) -> dict[str, Path]:
    names = {path.relative_to(folder).as_posix(): path for path in folder.rglob("*") if path.is_file()}
    return {name: path for name, path in names.items() if "/" in name and not name.startswith((".", "__"))}


@pytest.fixture(scope="module")
def fresh(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("samples")
    subprocess.run([sys.executable, str(paths.SAMPLES / "make.py"), str(folder)], check=True, capture_output=True)
    return folder


def test_making_again_gives_the_same_bytes(fresh: Path) -> None:
    made, kept = _files(fresh), _files(paths.SAMPLES)
    assert set(made) == set(kept)
    assert [name for name in made if made[name].read_bytes() != kept[name].read_bytes()] == []


def test_foreign_folders_are_not_written_over(tmp_path: Path) -> None:
    kept = tmp_path / "office" / "letter.txt"
    kept.parent.mkdir()
    kept.write_text("mine", encoding="utf-8")
    run = subprocess.run(
        [sys.executable, str(paths.SAMPLES / "make.py"), str(tmp_path)], check=False, capture_output=True, text=True
    )
    assert run.returncode != 0
    assert "there already" in run.stderr
    assert kept.read_text(encoding="utf-8") == "mine"


def test_samples_are_small() -> None:
    assert sum(path.stat().st_size for path in _files(paths.SAMPLES).values()) < 5_000_000


@pytest.mark.parametrize("folder", [*SETS, *STICKS])
def test_every_element_and_attribute_is_known_and_in_range(folder: Path) -> None:
    major = version(folder)
    main = parse(folder / "TASKDATA.XML")
    faults = _attribute_faults(main, major)
    for parent, node in elements(folder):
        if node.tag.startswith("P123_"):
            continue
        fact = facts.elements()[node.tag]
        if node.tag not in {child.tag for child in facts.elements()[parent.tag].children} or fact.since > major:
            faults.append(f"{node.tag} in {parent.tag}")
        faults += _attribute_faults(node, major)
        for child in fact.children:
            count = len(node.findall(child.tag))
            if count < child.least or (child.most is not None and count > child.most):
                faults.append(f"{count} {child.tag} in {node.tag}")
    assert faults == []


@pytest.mark.parametrize("folder", [pytest.param(paths.OFFICE, id="office"), pytest.param(paths.MACHINE, id="machine")])
def test_link_list_is_known_and_in_range(folder: Path) -> None:
    nodes = list(parse(folder / "LINKLIST.XML").iter())
    assert len(nodes) > 25
    assert [fault for node in nodes for fault in _attribute_faults(node, 4)] == []


def test_the_check_itself_finds_faults() -> None:
    main = parse(paths.BROKEN / "TASKDATA.XML")
    nodes = [node for node in main.iter() if node.tag != "XYZ"]
    found = {fault for node in nodes for fault in _attribute_faults(node, 4)}
    assert {"PDT.B missing", "BSN.C='95.5'", "PFD.Q='17'", "TSK.G='9'"} <= found
    assert any(fault.startswith("FRM.B=") for fault in found)


def _attribute_faults(node: Element, major: int) -> list[str]:
    known = facts.elements()[node.tag].attributes
    present = [letter for letter in node.attrib if not letter.startswith("P123_")]
    missing = [
        f"{node.tag}.{letter} missing" for letter, fact in known.items() if fact.required and letter not in present
    ]
    return missing + [
        f"{node.tag}.{letter}={node.attrib[letter]!r}"
        for letter in present
        if not _fits(known.get(letter), node, major)
    ]


def _fits(fact: facts.AttributeFact | None, node: Element, version: int) -> bool:
    if fact is None or fact.since > version:
        return False
    value = node.attrib[fact.letter]
    if value == "":
        return (node.tag == "PNT" and get(node, "Filename") is not None) or fact.name == "ManufacturerGLN"
    return _has_form(fact, value) and _in_range(fact, value) and _listed(fact, node, version)


def _has_form(fact: facts.AttributeFact, value: str) -> bool:
    octets = fact.type == "xs:hexBinary"
    size = len(value) // 2 if octets else len(value)
    form = fact.pattern or ("([0-9A-F]{2})+" if octets else ".*")
    return bool(re.fullmatch(form, value)) and (fact.min_length or 0) <= size <= (fact.max_length or 10_000)


def _in_range(fact: facts.AttributeFact, value: str) -> bool:
    if fact.minimum is None or fact.maximum is None:
        return True
    try:
        number = Decimal(value)
    except InvalidOperation:
        return False
    whole = fact.type == "xs:decimal" or number == int(number)
    return whole and Decimal(fact.minimum) <= number <= Decimal(fact.maximum)


def _listed(fact: facts.AttributeFact, node: Element, version: int) -> bool:
    if not fact.values or (node.tag, fact.name) in BIT_SETS:
        return True
    number = int(node.attrib[fact.letter])
    return any(item.low <= number <= item.high and item.since <= version for item in fact.values)


@pytest.mark.parametrize("folder", SETS)
def test_ids_are_unique_and_every_reference_finds_its_type(folder: Path) -> None:
    ids: dict[str, str] = {}
    references = []
    for _, node in elements(folder):
        fact = facts.elements().get(node.tag)
        if fact is None:
            continue
        if fact.id_letter and fact.id_letter in node.attrib:
            assert node.attrib[fact.id_letter] not in ids
            ids[node.attrib[fact.id_letter]] = node.tag
        references += [
            (value, fact.attributes[letter].refers_to)
            for letter, value in node.attrib.items()
            if letter in fact.attributes and fact.attributes[letter].refers_to
        ]
    assert len(references) > 20
    assert [(value, tag) for value, tag in references if ids.get(value) != tag] == []
    for link in folder.glob("LINKLIST.XML"):
        assert all(get(node, "ObjectIdRef") in ids for node in parse(link).iter("LNK"))


@pytest.mark.parametrize("folder", SETS)
def test_files_are_there_with_the_stated_size_and_nothing_else(folder: Path) -> None:
    named = {"TASKDATA.XML"}
    for _, node in elements(folder):
        for stem, suffix, size in _named(node):
            named.add(f"{stem}{suffix}")
            path = next(item for item in folder.iterdir() if item.name.upper() == f"{stem}{suffix}")
            if size is not None:
                assert path.stat().st_size == int(size)
    assert named == {path.name.upper() for path in folder.iterdir()}


def _named(node: Element) -> list[tuple[str, str, str | None]]:
    if node.tag == "AFE":
        return [(node.attrib[facts.letter("AFE", "FilenameWithExtension")], "", get(node, "FileLength"))]
    if node.tag == "XFR":
        return [(str(get(node, "Filename")), ".XML", None)]
    if node.tag in {"GRD", "TLG", "PNT"} and get(node, "Filename"):
        stem = str(get(node, "Filename"))
        header = [(stem, ".XML", None)] if node.tag == "TLG" else []
        return [(stem, ".BIN", get(node, "Filelength")), *header]
    return []


@pytest.mark.parametrize("folder", SETS)
def test_rings_are_closed_as_the_version_wants(folder: Path) -> None:
    rings = [node for _, node in elements(folder) if node.tag == "LSG" and get(node, "LineStringType") in {"1", "2"}]
    assert len(rings) >= 5
    for node in rings:
        places = [(get(point, "PointNorth"), get(point, "PointEast")) for point in node.findall("PNT")]
        if len(places) > 1:
            assert (places[0] == places[-1]) == (version(folder) == 4)


def test_office_set_holds_every_kind_of_pattern_and_name() -> None:
    nodes = [node for _, node in elements(paths.OFFICE)]
    kinds = {get(node, "GuidancePatternType") for node in nodes if node.tag == "GPN"}
    assert kinds == {"1", "2", "3", "4", "5"}
    names = [get(node, "PartfieldDesignator") or "" for node in nodes if node.tag == "PFD"]
    assert len(names) == 5
    assert max(len(name) for name in names) == 32
    assert any("&" in name and '"' in name for name in names)
    missing = (
        set(facts.elements())
        - {node.tag for node in nodes}
        - {"ISO11783_TaskData", "ISO11783LinkList", "XFC", "LGP", "LNK", "TCC", "TLG", "DLV", "PTN"}
    )
    assert missing == set()


def test_links_are_random_uuids_and_come_back_from_the_machine() -> None:
    sent, back = (
        {
            node.attrib["A"]: node.attrib["B"]
            for group in parse(folder / "LINKLIST.XML")
            if get(group, "LinkGroupType") == "1"
            for node in group
        }
        for folder in (paths.OFFICE, paths.MACHINE)
    )
    assert sent.items() < back.items()
    assert all(uuid.UUID(value).version == 4 for value in back.values())


def test_machine_keeps_the_coding_data_of_the_office() -> None:
    sent, back = (
        {
            key: ElementTree.tostring(_bare(node))
            for node in document(folder)
            if (key := get_id(node)) and node.tag != "TSK"
        }
        for folder in (paths.OFFICE, paths.MACHINE)
    )
    assert len(sent) > 30
    assert sent.items() < back.items()


def _bare(node: Element) -> Element:
    for item in node.iter():
        item.text = item.tail = None
    return node


def test_broken_set_can_be_read_and_lists_what_is_wrong() -> None:
    listed = paths.faults()
    assert len(listed) > 25
    assert all(re.fullmatch(r"R-\d{3}", rule) for rule, *_ in listed)
    for path in paths.BROKEN.glob("*.[xX][mM][lL]"):
        if path.name in MADE_UNREADABLE:
            with pytest.raises(ElementTree.ParseError):
                parse(path)
        else:
            parse(path)


def test_the_sticks_of_the_season_have_the_faults_that_they_are_there_for() -> None:
    faults = [sorted({item.rule.id for item in api.check(folder).findings}) for folder in paths.STICKS]
    assert faults == [["identity.leading-zero"], ["file.unused", "file.wrong-length", "geometry.self-crossing"], []]
