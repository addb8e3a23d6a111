"""Before and after on the map: what a cleaning, a conversion and a merge changed, each at its place."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

import taskdata
from taskdata.geometry.plane import LocalPlane
from taskdata.model.dataset import Dataset
from taskdata.page.encoding import STEPS
from taskdata.page.layers.findings import places_of
from taskdata.page.layers.things import things_of
from taskdata.page.scene import Form, SceneLayer, Shape, scene_of
from taskdata.page.wording import Wording
from tests.page.test_page import Page, drawn, page_of, run, steps_of
from tests.samples import BROKEN, OFFICE, STICKS

FIELDS = taskdata.read(OFFICE).fields
SHAPES = {"PFD2": "Before: Field Kuhle (PFD2)", "PFD3": "Before: Field Schleife (PFD3)"}


def layers(page: Page) -> dict[str, list[dict[str, Any]]]:
    """Return the shapes of each layer, the labels of their facts in words."""
    document: Any = drawn(page)
    for shape in (shape for layer in document["layers"] for shape in layer["shapes"]):
        shape["facts"] = [[document["labels"][label], value] for label, value in shape.get("facts", ())]
    return {layer["name"]: layer["shapes"] for layer in document["layers"]}


def parts(shape: dict[str, Any]) -> list[np.ndarray[Any, Any]]:
    """Return the lines of a shape as (n, 2) degrees."""
    return [np.cumsum(np.reshape(steps_of(part), (-1, 2)), axis=0) / STEPS for part in shape["parts"][0]]


def test_repairs_have_marks_and_a_repaired_ring_is_shown_before_and_after(tmp_path: Path) -> None:
    """The ring as stored crosses itself; shapely makes the same ground of it as lies in the outline after."""
    cleaned = taskdata.clean(BROKEN, tmp_path / "cleaned", review=True)
    page = page_of(tmp_path / "cleaned", tmp_path, against=BROKEN, changed=cleaned)
    found = layers(page)
    before = {shape["title"]: shape for shape in found["before"]}
    assert set(before) == set(SHAPES.values())  # the one went into another field, the other was cut at its crossing
    stored = shapely.Polygon(parts(before[SHAPES["PFD3"]])[0])
    assert not stored.is_valid
    (after,) = (shape for shape in found["after"] if "(PFD3)" in shape["title"])
    assert shapely.union_all([shapely.Polygon(part) for part in parts(after)]).symmetric_difference(
        shapely.make_valid(stored)
    ).area == pytest.approx(0.0, abs=1e-12)
    assert ["Removed", "Partfield PFD2: Kuhle"] in before[SHAPES["PFD2"]]["facts"]
    marks = {shape["title"]: shape for shape in found["change"]}
    told = {fact[0] for shape in marks.values() for fact in shape["facts"]}
    placed = {"PFD1", "PFD2", "PFD3", "TSK1"}
    assert set(marks) == {f"Changed: {name}" for name in placed}
    assert told == {change.rule for change in cleaned.changes if change.element in placed}
    buttons = [item["data-mark"] for tag, item in page.tags if tag == "button" and "data-mark" in item]
    assert {shape["mark"] for shape in marks.values()} <= set(buttons)


def test_a_conversion_to_version_3_shows_circles_as_the_points_they_became(tmp_path: Path) -> None:
    """All points lie on the circle of 120 m within the stated 0.01 m, and the length is that of the circle."""
    converted = taskdata.convert(OFFICE, tmp_path / "three", version=3)
    page = page_of(tmp_path / "three", tmp_path, against=OFFICE, changed=converted)
    found = layers(page)
    assert [shape["title"] for shape in found["before"]] == [
        "Before: Pivot Kreis um Brunnen (GPN4)",
        "Before: Pivot Viertelkreis (GPN6)",
    ]
    (circle, _) = found["after"]
    assert circle["title"] == "After: Guidance line Kreis um Brunnen"
    assert ["Shape points", "245"] in circle["facts"]
    told = [fact for shape in found["change"] for fact in shape["facts"]]
    assert any(label == "Approximated" and "becomes 245 points" in text for label, text in told)
    assert any(label == "Dropped" and "base station" in text for label, text in told)
    assert all(loss.what in page.words for loss in converted.losses[:20])
    german = page_of(tmp_path / "three", tmp_path, against=OFFICE, changed=converted, language="de").words
    assert "Kreis mit 120 m Radius wird zu 245 Punkten, höchstens 0,01 m daneben" in german
    assert "Geplante Ausbringmenge: Soll-Ausbringmenge, Masse je Fläche" in german
    assert [loss.why for loss in converted.losses if loss.why in german] == []


def test_what_is_thinned_or_left_out_is_shown_before_and_after(tmp_path: Path) -> None:
    """The outline after keeps within half a metre of the one before, by shapely."""
    receiver = tmp_path / "cab.toml"
    receiver.write_text("[limits]\npoints_in_ring = 60\n", encoding="utf-8")
    fields = ["PFD2", "PFD5"]
    converted = taskdata.convert(OFFICE, tmp_path / "thin", to="isoxml", receiver=receiver, only={"fields": fields})
    found = layers(page_of(tmp_path / "thin", tmp_path, against=OFFICE, changed=converted))
    before = {shape["title"]: shape for shape in found["before"]}
    left = {f"Before: Field {field.name} ({field.id})" for field in FIELDS if field.id != "PFD2"}
    assert {title for title in before if "(PFD" in title} == left
    (after,) = found["after"]
    (was,) = (shape for title, shape in before.items() if "(PFD5)" in title)
    assert after["title"] == was["title"].replace("Before", "After")
    assert [len(parts(shape)[0]) for shape in (was, after)] == [202, 59]
    plane = LocalPlane.centred_on(parts(was)[0])
    lines = [shapely.LineString(plane.forward(parts(shape)[0])) for shape in (was, after)]
    assert 0.0 < shapely.hausdorff_distance(*lines) <= 0.5
    assert any(fact[1].startswith("line string") for shape in found["change"] for fact in shape["facts"])


def test_a_merge_shows_each_source_and_what_became_of_it(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Each source's shapes are those that a reader finds in it; the identifiers after are those of the journal."""
    sources = [str(place) for place in STICKS]
    target = tmp_path / "merged"
    assert run("merge", *sources, str(target), "--to", "isoxml", "--report", str(tmp_path / "page.html"), "--json") == 0
    journal = json.loads(capsys.readouterr().out)
    page = Page((tmp_path / "page.html").read_text(encoding="utf-8"))
    found = layers(page)
    for number, source in enumerate(sources):
        data = taskdata.read(source)
        names = {shape["title"] for shape in found[f"before-{number}"]}
        assert {f"Before: Field {field.name} ({field.id})" for field in data.fields} <= names
    now = {shape["title"]: dict(shape["facts"]).get("In the merged set") for shape in found["before-2"]}
    assert journal["renumbered"][sources[2]]["PFD7"] == "PFD1"
    assert now["Before: Field OSTZIPFEL (PFD7)"] == "Field Ostzipfel (PFD1): another shape"
    assert now["Before: Field SCHMALE AECKER (PFD8)"] == "Field SCHMALE AECKER (PFD8): the same shape"
    (arrow,) = found["moved"]
    assert arrow["title"] == "Field Ostzipfel (PFD1)"
    told = {shape["title"]: [fact[0] for fact in shape["facts"]] for shape in found["change"]}
    assert "Found in several sources, kept once" in told["Changed: PFD1"]
    assert "The sources disagree" in told["Changed: PFD1"]
    assert told["Changed: TSK2"] == ["Renumbered"]


@given(st.integers(0, 20), st.booleans(), st.integers(0, 1))
@settings(max_examples=20, deadline=None)
def test_a_shape_is_the_same_wherever_its_ring_begins(start: int, reverse: bool, closed: int) -> None:
    field = FIELDS[1]
    ring = field.boundaries[0].exteriors[0][:-1]
    turned = np.roll(ring, start, axis=0)[:: -1 if reverse else 1]
    area = replace(field.boundaries[0], exteriors=(np.vstack([turned, turned[:closed]]),))
    (one,), (other,) = (
        [thing for thing in things_of(Dataset("x", "isoxml", fields=(item,)), Wording()) if field.id in thing.keys]
        for item in (field, replace(field, boundaries=(area,)))
    )
    assert one.print == other.print


def test_another_set_far_away_does_not_widen_the_map() -> None:
    here, there = (Shape(Form.POINT, [[np.array([[lon, 54.0]])]], "point", "x") for lon in (7.0, -40.0))
    assert scene_of([SceneLayer("a", "a", [here]), SceneLayer("b", "b", [there], beside=True)]).bounds == (7, 54, 7, 54)
    assert scene_of([SceneLayer("b", "b", [there], beside=True)]).bounds == (-40, 54, -40, 54)


def test_an_identifier_that_two_things_have_is_no_place() -> None:
    one, two = FIELDS[0], replace(FIELDS[1], id=FIELDS[0].id)
    assert FIELDS[0].id in places_of(Dataset("x", "isoxml", fields=(one,)))
    assert FIELDS[0].id not in places_of(Dataset("x", "isoxml", fields=(one, two)))
