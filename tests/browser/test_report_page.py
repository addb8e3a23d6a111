"""The page of a set, opened from disk in a browser without a network."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic

import taskdata
from taskdata.model.dataset import Dataset
from taskdata.model.fields import Field
from taskdata.model.shapes import Area, AreaKind
from tests.browser.pages import faults_for_people, hostile_stick
from tests.samples import BROKEN, MACHINE

if TYPE_CHECKING:
    from playwright.sync_api import Page

Open = Callable[..., "Page"]
Reports = Callable[..., Path]

SHOW_FIRST = """name => {
  const [west, south, east, north] = fieldMap.layers.get(name).shapes[0].box;
  fieldMap.map.fitBounds([[south, west], [north, east]], { animate: false });
}"""


def canvas(page: Page) -> str:
    """Return what is drawn on the map when the next frame is done, as the canvas holds it."""
    frames = "new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))"
    found: str = page.evaluate(f"{frames}.then(() => document.querySelector('#map canvas').toDataURL())")
    return found


def pixel(page: Page, lat: float, lon: float) -> tuple[float, float]:
    """Return where a place lies on the map, from its upper left corner."""
    at = page.evaluate("([lat, lon]) => fieldMap.map.latLngToContainerPoint([lat, lon])", [lat, lon])
    return at["x"], at["y"]


def place(page: Page, x: float, y: float) -> tuple[float, float]:
    """Return the latitude and longitude of a pixel of the map."""
    at = page.evaluate("([x, y]) => fieldMap.map.containerPointToLatLng([x, y])", [x, y])
    return at["lat"], at["lng"]


def test_layers_toggle(opened: Open, reports: Reports) -> None:
    page = opened(reports(MACHINE).as_uri(), 900, 700)
    page.locator("#map canvas").wait_for()
    boxes = page.locator("input[data-layer]")
    for number in range(boxes.count()):
        box = boxes.nth(number)
        page.evaluate(SHOW_FIRST, box.get_attribute("data-layer"))
        whole = canvas(page)
        box.click()
        assert (canvas(page) != whole) is True, box.get_attribute("data-layer")
        box.click()
        assert (canvas(page) == whole) is True, box.get_attribute("data-layer")


def test_hovering_names_what_lies_there(opened: Open, reports: Reports) -> None:
    field = taskdata.read(MACHINE).fields[0]
    inside = field.boundaries[0].exteriors[0].mean(axis=0)
    page = opened(reports(MACHINE).as_uri())
    x, y = pixel(page, float(inside[1]), float(inside[0]))
    page.locator("#map").hover(position={"x": x, "y": y})
    told = page.locator("#told")
    assert field.name is not None
    told.get_by_text(re.compile(re.escape(field.name))).first.wait_for()
    assert "12.98 ha" in told.inner_text()
    assert field.name in told.locator("strong").last.inner_text()


def test_hovering_names_everything_and_the_field_stays_in_sight(opened: Open, tmp_path: Path) -> None:
    lon, lat = np.array([7.0, 7.01, 7.01, 7.0, 7.0]), np.array([54.3, 54.3, 54.306, 54.306, 54.3])
    ring = np.column_stack([lon, lat])
    middle = ring[:4].mean(axis=0)
    areas = tuple(
        Area(AreaKind.OTHER, (middle + (ring - middle) * (1.0 - number / 100.0),), name=f"Nassstelle {number}")
        for number in range(30)
    )
    field = Field("PFD1", "Kuhle", boundaries=(Area(AreaKind.BOUNDARY, (ring,)),), areas=areas)
    made = Dataset(str(tmp_path / "layer"), "isoxml").with_changes(fields=(field,))
    taskdata.report(made, tmp_path / "page.html")
    page = opened((tmp_path / "page.html").as_uri())
    x, y = pixel(page, 54.302, 7.003)
    page.locator("#map").hover(position={"x": x, "y": y})
    told = page.locator("#told")
    told.locator("strong").first.wait_for()
    names = told.locator("strong").all_inner_texts()
    assert names == [*(f"Other area Nassstelle {number}" for number in reversed(range(30))), "Field Kuhle (PFD1)"]
    box, field_box = told.bounding_box(), told.locator("strong").last.bounding_box()
    assert box is not None
    assert field_box is not None
    assert field_box["y"] + field_box["height"] <= box["y"] + box["height"]
    told.locator("strong").nth(29).scroll_into_view_if_needed()
    page.locator("#map").hover(position={"x": x + 3, "y": y})
    page.wait_for_timeout(200)
    assert told.evaluate("place => place.scrollTop") > 0  # the list that is read does not jump back


def test_a_finding_centres_the_map(opened: Open, reports: Reports) -> None:
    page = opened(reports(BROKEN.parent).as_uri())
    buttons = page.locator("details[open] button[data-mark]")
    assert buttons.count() > 3
    for number in range(3):
        button = buttons.nth(number)
        button.click()
        south, north, west, east = page.evaluate(
            "mark => { const [w, s, e, n] = fieldMap.marks.get(mark).box; return [s, n, w, e]; }",
            button.get_attribute("data-mark"),
        )
        page.wait_for_timeout(400)
        x, y = pixel(page, (south + north) / 2.0, (west + east) / 2.0)
        size = page.locator("#map").bounding_box()
        assert size is not None
        assert (x, y) == (pytest.approx(size["width"] / 2.0, abs=3.0), pytest.approx(size["height"] / 2.0, abs=3.0))


def test_lengths_and_areas_are_those_of_the_ellipsoid(opened: Open, reports: Reports) -> None:
    """Karney's geodesics (GeographicLib) say what was measured."""
    page = opened(reports(MACHINE).as_uri())
    corners = [(200, 150), (520, 160), (500, 420)]
    places = [place(page, x, y) for x, y in corners]
    page.locator("#measure").click()
    for x, y in corners:
        page.locator("#map").click(position={"x": x, "y": y})
        page.wait_for_timeout(350)
    text = page.locator("#told").inner_text().replace(",", "")
    length = float(re.search(r"Length: ([\d.]+) m", text)[1])  # type: ignore[index]
    area = float(re.search(r"Area: ([\d.]+) ha", text)[1])  # type: ignore[index]
    globe = Geodesic.WGS84
    legs = [globe.Inverse(*one, *other)["s12"] for one, other in pairwise(places)]
    polygon = globe.Polygon()
    for lat, lon in places:
        polygon.AddPoint(lat, lon)
    assert math.isclose(length, sum(legs), rel_tol=2e-4)
    assert math.isclose(area, abs(polygon.Compute()[2]) / 10_000.0, rel_tol=1e-3)
    bar = page.locator(".map-scale").bounding_box()
    frame = page.locator("#map").bounding_box()
    assert bar is not None
    assert frame is not None
    y = frame["height"] / 2.0
    ends = [
        place(page, x, y)
        for x in (frame["width"] / 2.0 - bar["width"] / 2.0, frame["width"] / 2.0 + bar["width"] / 2.0)
    ]
    stated = float(page.locator(".map-scale").inner_text().split()[0].replace(",", ""))
    assert math.isclose(stated, globe.Inverse(*ends[0], *ends[1])["s12"], rel_tol=0.02)


def test_names_are_text(opened: Open, reports: Reports, tmp_path: Path) -> None:
    stick = hostile_stick(tmp_path)
    title = f"Task data of {stick.name}"
    page = opened(reports(stick).as_uri())
    page.locator("#map canvas").wait_for()
    assert page.locator("img").count() == 0
    assert page.locator("script").count() == 3
    assert "<script>alert(1)</script><img src=x onerror=alert(2)>&amp;\"'" in page.locator("body").inner_text()
    assert any("<script>" in text for text in page.locator(".map-label").all_inner_texts())
    field = next(item for item in taskdata.read(stick).fields if item.boundaries)
    inside = field.boundaries[0].exteriors[0].mean(axis=0)
    x, y = pixel(page, float(inside[1]), float(inside[0]))
    page.locator("#map").hover(position={"x": x, "y": y})
    assert "<img src=x" in page.locator("#told").inner_text()
    assert "\u202e" not in page.content()
    assert "\u009b" not in page.content()
    assert page.title() == title


def test_nobody_finds_a_barrier(opened: Open, reports: Reports) -> None:
    found = []
    for width, scheme, source in (
        (390, "light", BROKEN),
        (1440, "dark", MACHINE),
        (390, "dark", MACHINE),
        (1440, "light", BROKEN),
    ):
        page = opened(reports(source.parent).as_uri(), width, 900, color_scheme=scheme)
        page.locator("#map canvas").wait_for()
        page.locator("details").evaluate_all("items => items.forEach((item) => { item.open = true; })")
        found += [f"{source.parent.name} {width} {scheme}: {fault}" for fault in faults_for_people(page)]
    assert found == []
