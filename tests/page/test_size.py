"""A page stays small: of many polygons, long names, and lists of which only the first are shown."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

import taskdata
from taskdata.model.dataset import Dataset
from taskdata.model.fields import Field
from taskdata.model.shapes import Area, AreaKind
from taskdata.page.content import Content
from taskdata.page.html_page import html_page
from taskdata.page.label_places import label_of, label_place
from taskdata.page.long_lists import LISTED
from taskdata.page.scene import Coordinates, Form, Shape
from taskdata.page.thinning import Budget, thinned_lines
from taskdata.page.wording import Wording
from tests.page.test_page import Page, drawn, steps_of

MOST_BYTES = 2_000_000


def ring(lon: float, lat: float, random: np.random.Generator) -> Coordinates:
    """Return a crooked outline of 25 points, about 200 m across."""
    angles = np.linspace(0.0, 2.0 * np.pi, 25)
    far = 1.0 + random.uniform(-0.2, 0.2, len(angles))
    found = np.column_stack([lon + 0.0025 * far * np.cos(angles), lat + 0.0015 * far * np.sin(angles)])
    found[-1] = found[0]
    return found


def test_a_page_of_2000_polygons_with_50000_vertices_is_below_2_mb() -> None:
    random = np.random.default_rng(7)
    fields = tuple(
        Field(
            f"PFD{at}",
            f"Schlag {at:04} am Lindholler Weg links vom Bach, hinterer Teil",
            boundaries=(Area(AreaKind.BOUNDARY, (ring(7.0 + at % 50 * 0.006, 54.3 + at // 50 * 0.0035, random),)),),
            declared_area_m2=84_000.0,
            customer="CTR1",
            farm="FRM1",
        )
        for at in range(2000)
    )
    empty = Dataset("fields", "isoxml")
    page = html_page(Content(empty.with_changes(fields=fields), taskdata.check(empty)), Wording("de"))
    found = Page(page)
    (layer,) = drawn(found)["layers"]  # type: ignore[misc]
    points = sum(len(steps_of(steps)) // 2 for shape in layer["shapes"] for rings in shape["parts"] for steps in rings)
    assert (len(layer["shapes"]), points) == (2000, 50_000)
    assert len(page.encode("utf-8")) < MOST_BYTES
    assert f"und {2000 - LISTED:,} weitere".replace(",", ".") in found.words
    assert fields[LISTED - 1].name in found.words
    assert all(len(shape["label"]) <= 60 for shape in layer["shapes"])
    assert json.dumps(fields[-1].name, ensure_ascii=False)[1:-1] in page


@pytest.mark.parametrize("points", [10, 40_000])
def test_lines_are_thinned_to_a_budget_and_no_farther_than_allowed(points: int) -> None:
    """A straight line keeps its ends; a ring stays a ring; what is left lies within the tolerance of what was there."""
    along = np.linspace(0.0, 1.0, 20_000)
    straight = np.column_stack([along, along])
    angles = np.linspace(0.0, 2.0 * np.pi, 20_001)
    circle = np.column_stack([np.cos(angles), np.sin(angles)])
    circle[-1] = circle[0]
    budget = Budget(points, 1e-6, 1e-3)
    slim = thinned_lines([straight, circle], budget)
    if points > 20_001:
        assert [len(line) for line in slim] == [2, len(slim[1])]
    assert slim[0].tolist() == [[0.0, 0.0], [1.0, 1.0]]
    assert (slim[1][0] == slim[1][-1]).all()
    chord = float(np.hypot(*np.diff(slim[1], axis=0).T).max())
    assert 1.0 - np.sqrt(1.0 - (chord / 2.0) ** 2) <= budget.coarsest_deg  # sagitta of a chord of the unit circle
    assert len(slim[1]) > 3


def test_a_label_stands_inside_an_area_that_bends_around_its_middle() -> None:
    hook = np.array([[0.0, 0.0], [10.0, 0.0], [10.0, 10.0], [8.0, 10.0], [8.0, 2.0], [0.0, 2.0], [0.0, 0.0]])
    assert label_place(Shape(Form.AREA, [[hook]], "outline", "")) == (9.0, 5.0)
    assert label_place(Shape(Form.LINE, [[hook[:2]]], "line", "")) == (5.0, 0.0)
    assert label_place(Shape(Form.POINT, [[hook[:1]]], "point", "")) == (0.0, 0.0)
    assert label_of(Shape(Form.AREA, [[hook]], "outline", "", label="x" * 61)) == f"{'x' * 59}…"


def test_the_rest_of_a_long_list_is_counted(tmp_path: Path) -> None:
    found = Dataset("fields", "isoxml")
    tasks = tuple(taskdata.read(Path("samples/office")).tasks[:1]) * (LISTED + 3)
    page = html_page(Content(found.with_changes(tasks=tasks), taskdata.check(found)), Wording())
    assert "and 3 more" in Page(page).words
