"""Repairs that look at all strings at once see what each string says by itself, and tell where things stand."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from taskdata import api
from taskdata.isoxml.files.set_files import Blob, FileSet
from taskdata.isoxml.reading.read import document_of, read_document
from taskdata.isoxml.to_model.places import Places
from taskdata.isoxml.tree.copying import copy_document
from taskdata.isoxml.tree.document import Document
from taskdata.isoxml.tree.element import Element
from taskdata.repairs.all_strings import AllStrings, is_ring
from taskdata.repairs.geometry.strings import in_xml
from taskdata.repairs.run import clean
from tests.samples import BROKEN, OFFICE

RULES = Path(__file__).parents[1] / "rules"
ROOT = (
    '<ISO11783_TaskData VersionMajor="4" VersionMinor="3" ManagementSoftwareManufacturer="Hof Ahrenbrook" '
    'ManagementSoftwareVersion="1" DataTransferOrigin="1">{}</ISO11783_TaskData>'
)
BOW = ((54.3, 0.0), (54.301, 0.002), (54.301, 0.0), (54.3, 0.002), (54.3, 0.0))
SQUARE = ((54.3, 0.0), (54.3, 0.002), (54.301, 0.002), (54.301, 0.0), (54.3, 0.0))


def polygon(corners: tuple[tuple[float, float], ...], east: float) -> str:
    lons = [(lon + east + 180.0) % 360.0 - 180.0 for _, lon in corners]
    points = "".join(f'<PNT A="2" C="{lat:.4f}" D="{lon:.4f}"/>' for (lat, _), lon in zip(corners, lons, strict=True))
    return f'<PLN A="1"><LSG A="1">{points}</LSG></PLN>'


def read(*polygons: str) -> Document:
    body = f'<PFD A="PFD1" C="Kuhle" D="0">{"".join(polygons)}</PFD><PFD A="PFD2" C="Brook" D="0"/>'
    blob = Blob.of("TASKDATA.XML", ROOT.format(body).encode())
    return document_of(FileSet("set", (blob,), "TASKDATA"))


@pytest.mark.parametrize("folder", [BROKEN, *sorted(RULES.glob("points.*/bad*"))[:3]])
def test_all_strings_together_are_what_each_of_them_is(folder: Path) -> None:
    strings = AllStrings(read_document(folder))
    rings = set(strings.rings.tolist())
    for number, string in enumerate(strings.found):
        own = string.coordinates()
        assert np.array_equal(strings.points(number), own, equal_nan=True)
        assert bool(strings.in_xml[number]) == in_xml(string)
        assert (number in rings) == (in_xml(string) and is_ring(string))
        repeats = np.r_[False, (np.diff(own, axis=0) == 0.0).all(axis=1)] if len(own) else np.zeros(0, bool)
        assert np.array_equal(strings.repeats[strings.rows(number)], repeats)
        if in_xml(string):
            assert strings.spans[number] == np.ptp(own[:, 0])


def test_the_journal_tells_where_a_ring_stood_after_the_ring_before_it_became_two() -> None:
    cleaned = clean(read(polygon(BOW, 7.0), polygon(BOW, 7.01), polygon(SQUARE, 7.02)), review=True)
    crossings = [change for change in cleaned.changes if change.rule == "geometry.self-crossing"]
    field = "/ISO11783_TaskData/PFD[1]"
    assert [change.path for change in crossings] == [f"{field}/PLN[1]/LSG[1]", f"{field}/PLN[3]/LSG[1]"]
    assert [len(list(item.elements("PLN"))) for item in cleaned.document.by_tag["PFD"]] == [5, 0]


def test_a_ring_over_the_antimeridian_is_judged_as_any_other() -> None:
    cleaned = clean(read(polygon(SQUARE, 179.999), polygon(BOW, 179.999)), review=True, only=["geometry.self-crossing"])
    assert [change.path for change in cleaned.changes] == ["/ISO11783_TaskData/PFD[1]/PLN[2]/LSG[1]"]


def test_places_that_are_forgotten_are_found_anew() -> None:
    document = copy_document(read(polygon(BOW, 7.0), polygon(SQUARE, 7.01)))
    places = Places()
    for element in document.walk():
        places.of(element)
    field = document.by_tag["PFD"][0]
    field.children.insert(0, Element("PLN", {"A": "9"}, parent=field))
    places.forget_below(field)
    assert [places.of(element) for element in document.walk()] == [element.place() for element in document.walk()]


def test_of_equal_elements_within_equal_elements_the_first_stays() -> None:
    group = '<GGP A="GGP1"><GPN A="GPN1" C="1"/></GGP>'
    cleaned = clean(read(group, group, '<GGP A="GGP1" B="other"/>'), only=["identity.repeated-id"])
    assert [change.before for change in cleaned.changes] == ["GGP1", "GPN1"]
    names = [(item.id, item.get("GuidanceGroupDesignator")) for item in cleaned.document.by_tag["GGP"]]
    assert names == [("GGP1", None), ("GGP1", "other")]


def test_what_remains_of_a_set_that_nothing_changes_in_is_what_an_audit_finds_in_the_target(tmp_path: Path) -> None:
    done = api.clean(OFFICE, tmp_path / "clean")
    found = api.check(tmp_path / "clean").findings
    assert not done.changes
    assert [(item.rule.id, item.place) for item in done.left] == [(item.rule.id, item.place) for item in found] != []
