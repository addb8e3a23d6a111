"""No repair removes what is the only evidence that something is missing or wrong."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from taskdata.checks.run import run
from taskdata.checks.subject import Subject
from taskdata.geometry.geodesy import polygon_area
from taskdata.isoxml.files.blob import Blob
from taskdata.isoxml.files.set_files import FileSet
from taskdata.isoxml.reading.read import document_of, read_document
from taskdata.isoxml.to_model.dataset import to_dataset
from taskdata.isoxml.tree.differences import differences
from taskdata.isoxml.tree.document import Document, XmlFile
from taskdata.isoxml.tree.element import Element, PointRun
from taskdata.isoxml.tree.filenames import file_names, is_link_list
from taskdata.isoxml.tree.stated_lengths import LENGTHS, stated_length
from taskdata.isoxml.writing.mended_lengths import mend_lengths
from taskdata.isoxml.writing.write import named_files, xml_bytes
from taskdata.repairs.run import clean
from tests import samples

RULES = Path(__file__).parents[1] / "rules"


def stating(document: Document) -> list[Element]:
    """Elements that may state the length of a file that they name."""
    return [item for tag in LENGTHS for item in document.by_tag.get(tag, ()) if file_names(item)]


@pytest.mark.parametrize("sample", [*samples.SOUND, samples.BROKEN], ids=lambda path: path.parent.name)
def test_no_stated_length_is_brought_down_to_a_shorter_file(sample: Path) -> None:
    document = read_document(sample)
    for name, blob in list(document.others.items()):
        document.others[name] = Blob.of(blob.name, blob.read()[:-3])
    for element in stating(document):
        name = file_names(element)[-1].upper()
        if name in document.others and stated_length(element) is None:
            element.set(LENGTHS[element.tag], str(document.others[name].size + 3))
    cleaned, *_ = clean(document, review=True)
    for element in stating(cleaned):
        name = file_names(element)[-1].upper()
        stated = stated_length(element)
        if name in cleaned.others and stated is not None:
            assert cleaned.others[name].size < stated, name


def test_a_log_that_is_cut_in_two_keeps_what_is_missing_at_its_end() -> None:
    document = read_document(RULES / "timelog.time-runs-back" / "bad")
    (log,) = document.by_tag["TLG"]
    size = document.others["TLG00001.BIN"].size
    log.set("Filelength", str(size + 500))
    cleaned, changes, _ = clean(document, review=True)
    assert "timelog.time-runs-back" in {change.rule for change in changes}
    sizes = [cleaned.others[f"{item.get('Filename')}.BIN"].size for item in cleaned.by_tag["TLG"]]
    stated = [stated_length(item) for item in cleaned.by_tag["TLG"]]
    assert sum(sizes) == size
    assert stated == [*sizes[:-1], sizes[-1] + 500]


def test_a_link_list_that_is_written_anew_stays_as_much_too_short_as_it_was() -> None:
    document = read_document(samples.OFFICE)
    item = next(item for item in document.by_tag["AFE"] if is_link_list(item))
    links = document.link_list
    assert links is not None
    assert links.size is not None
    item.set("FileLength", str(links.size + 100))
    group = next(links.root.elements("LGP"))
    group.append(Element("LNK", {"A": "PFD4242", "B": "{12345678-0000-4000-8000-123456789abc}"}, file=links.name))
    mend_lengths(document)
    assert stated_length(item) == len(xml_bytes(links)) + 100


def test_a_file_that_holds_what_is_named_is_named_itself() -> None:
    cleaned, changes, _ = clean(read_document(RULES / "reference.dangling" / "bad-unnamed-file"), review=True)
    assert [(change.rule, change.after) for change in changes] == [("reference.dangling", "CTR00001.XML")]
    (external,) = cleaned.by_tag["XFR"]
    assert (external.get("Filename"), external.get("Filetype")) == ("CTR00001", "1")
    assert cleaned.by_id["PFD1"].get("CustomerIdRef") == "CTR9"
    assert cleaned.by_id["CTR9"].file == "CTR00001.XML"
    assert "CTR00001.XML" not in cleaned.others


@pytest.mark.parametrize("how", ["missing", "unreadable", "without a name", "unnamed and unreadable"])
@pytest.mark.parametrize("sample", samples.SOUND, ids=lambda path: path.parent.name)
def test_no_reference_is_dropped_or_stood_in_for_while_an_external_file_is_lost(sample: Path, how: str) -> None:
    """Every reference and link of a set whose external file got lost is there after cleaning (ISO 11783-10, 8.2)."""
    files = lose(sample, how)
    document = document_of(FileSet("set", files, "TASKDATA"))
    named = sorted(target for item in document.walk() for _, target in item.references())
    lost = set(named) - set(document.by_id)
    cleaned, changes, _ = clean(document, review=True)
    assert not {"reference.dangling", "linklist.dangling"} & {change.rule for change in changes}
    assert lost
    assert lost <= {target for item in cleaned.walk() for _, target in item.references()}
    assert not lost & set(cleaned.by_id)


def lose(sample: Path, how: str) -> tuple[Blob, ...]:
    """Move the farms of a set into an external file, or take the one that holds them, and lose it."""
    document = read_document(sample)
    farms = [item for tag in ("CTR", "FRM", "PDT") for item in document.by_tag.get(tag, ())]
    for farm in farms:
        farm.parent.children.remove(farm)
    if how != "unnamed and unreadable":
        name = {} if how == "without a name" else {"A": "CTR00009"}
        document.root.append(Element("XFR", name | {"B": "1"}, file=document.main.name))
    blobs = [
        Blob.of(name, xml_bytes(file)) if isinstance(file, XmlFile) else file for name, file in named_files(document)
    ]
    if "unreadable" in how:
        blobs.append(Blob.of("CTR00009.XML", b"<XFC><CTR A='CTR1' B='Tann"))
    return tuple(blobs)


def test_all_outlines_swapped_are_one_finding_and_come_back_to_the_letter() -> None:
    """The areas as stored are off by cos(lon) / cos(lat), for a small field on a sphere; no neighbour is needed."""
    sound, document = outlines(), outlines()
    for item in document.walk():
        turn(item)
    data = to_dataset(document)
    field = next(item for item in data.fields if item.declared_area_m2)
    stored = polygon_area(field.boundaries[0].exteriors, field.boundaries[0].interiors)
    lat, lon = np.radians(field.boundaries[0].exteriors[0][0])
    assert stored / (field.declared_area_m2 or 0) == pytest.approx(np.cos(lon) / np.cos(lat), rel=0.01)
    found = [item for item in run(Subject(document, data)) if item.rule.id == "geometry.swapped-coordinates"]
    assert [item.facts["count"] for item in found] == [sum(1 for item in data.fields if item.declared_area_m2)]
    assert not [item for item in run(Subject(document, data)) if item.rule.id == "field.wrong-area"]
    cleaned, *_ = clean(document, review=True, only=["geometry.swapped-coordinates"])
    sound.expand_loose_points()
    assert list(differences(sound, cleaned)) == []


def test_outlines_that_agree_with_their_areas_as_stored_are_never_swapped() -> None:
    document = outlines()
    for field in document.by_tag["PFD"][1:]:
        for item in field.walk():
            turn(item)
    found = run(Subject(document, to_dataset(document)))
    assert all("contradict" not in item.rule.message for item in found)
    assert {item.place.element for item in found if item.rule.id == "field.wrong-area"} >= {"PFD3"}


def outlines() -> Document:
    """The fields of the office, without those whose points lie in binary files."""
    document = read_document(samples.OFFICE)
    for field in [item for item in document.by_tag["PFD"] if any(part.get("Filename") for part in points(item))]:
        field.parent.children.remove(field)
    document.touch()
    return document


def points(element: Element) -> list[Element]:
    return [item for item in element.walk() if item.tag == "PNT"]


def turn(element: Element) -> None:
    """Swap latitude and longitude of the points of an element."""
    for position, child in enumerate(element.children):
        if isinstance(child, PointRun):
            texts = {name: child.texts(name) for name in child.names}
            texts["C"], texts["D"] = texts["D"], texts["C"]
            element.children[position] = PointRun.of(texts)
        elif isinstance(child, Element) and child.tag == "PNT":
            child.attributes["C"], child.attributes["D"] = child.attributes["D"], child.attributes["C"]


@pytest.mark.parametrize(("stated", "splits"), [(None, True), ("sum", True), ("difference", False)])
def test_rings_that_contradict_the_area_of_their_polygon_are_not_split(stated: str | None, splits: bool) -> None:
    """A hole with the type of an outer ring: what is stated is the outer ring less the hole."""
    document = read_document(samples.OFFICE)
    polygon = next(item for item in document.by_tag["PLN"] if any(hole(ring) for ring in item.elements("LSG")))
    rings = [string.coordinates() for string in polygon.elements("LSG")]
    inner = next(string for string in polygon.elements("LSG") if hole(string))
    areas = [polygon_area([ring], []) for ring in rings]
    whole, taken = max(areas), sum(areas) - max(areas)
    inner.set("LineStringType", "1")
    area = {"sum": whole + taken, "difference": (whole - taken) / 2}.get(stated or "")
    polygon.set("PolygonArea", None if area is None else str(round(area)))
    cleaned, changes, _ = clean(document, review=True, only=["geometry.several-exteriors"])
    assert bool(changes) == splits
    assert len(cleaned.by_tag["PLN"]) == len(document.by_tag["PLN"]) + splits


def hole(string: Element) -> bool:
    return string.get("LineStringType") == "2"
