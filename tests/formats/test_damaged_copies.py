"""Damaged copies of layers, drawn by hypothesis: no row goes without a word, and no file ends the program.

What is damaged at random may mean something else afterwards, such as another coordinate or letter, and nobody can know.
But each row of the sound file must be there, or named, or the file itself must be.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from taskdata.errors import TaskdataError
from taskdata.findings import Severity
from taskdata.formats.foreign.foreign_layers import plain
from taskdata.formats.read import read
from taskdata.model.dataset import Dataset
from tests.formats.exchange import FORMATS
from tests.formats.raw_layers import FLAT, HOLE, ONE, SQUARE, TWO, geojson, layer
from tests.heavy import HEAVY

EXAMPLES = 400 if HEAVY else 12
ROWS = 4
AWAY = [[lon + 0.1, lat] for lon, lat in SQUARE]

Lists = Any
Change = Callable[[Lists], Lists]

junk = st.sampled_from(
    [None, True, "", "x", "54.0", [], {}, [[]], [1], [10.0, 54.0], [10.0, None], 7, -1e999, 1e999, 10**400, 181.5, 95.0]
)
shapes = st.sampled_from(
    [
        ("Point", SQUARE[0]),
        ("MultiPoint", SQUARE[:3]),
        ("LineString", SQUARE[:3]),
        ("MultiLineString", [SQUARE[:3], AWAY[:2]]),
        ("Polygon", [SQUARE, HOLE]),
        ("MultiPolygon", [[SQUARE, HOLE], [AWAY]]),
        ("Polygon", [SQUARE, FLAT, TWO, ONE, []]),
    ]
)


@st.composite
def damaged(draw: st.DrawFn) -> dict[str, Any]:
    """A geometry in which up to three members of its lists were replaced, taken out or put in twice."""
    kind, coordinates = draw(shapes)
    root: Lists = [_copy(coordinates)]
    for _ in range(draw(st.integers(1, 3))):
        at = root
        while at and isinstance(at[0], list) and draw(st.booleans()):
            inner = at[draw(st.integers(0, len(at) - 1))]
            if not isinstance(inner, list) or not inner:
                break
            at = inner
        if not at:
            continue
        index = draw(st.integers(0, len(at) - 1))
        what = draw(st.sampled_from(["replace", "remove", "double"]))
        if what == "replace" or at is root:
            at[index] = _copy(draw(junk))
        elif what == "remove":
            del at[index]
        else:
            at.insert(index, _copy(at[index]))
    return {"type": draw(st.sampled_from([kind] * 8 + ["polygon", "Polygon"])), "coordinates": root[0]}


def _copy(value: Lists) -> Lists:
    return [_copy(item) for item in value] if isinstance(value, list) else value


def loaded(path: Path) -> Dataset | None:
    """Return what is read, None where the source is refused in one line."""
    refusal = ""
    try:
        return plain(read(path))
    except TaskdataError as error:
        refusal = str(error)
    assert "\n" not in refusal
    return None


def places(data: Dataset) -> int:
    """How many rings, lines and points there are."""
    areas = [area for field in data.fields for area in field.boundaries]
    return sum(len(area.exteriors) + len(area.interiors) for area in areas) + len(data.guidance) + len(data.points)


def lists_of(geometry: dict[str, Any]) -> int:
    """How many rings, lines or points a geometry was meant to have, whatever they hold."""
    value, kind = geometry["coordinates"], geometry["type"]
    depth = {"MultiPoint": 1, "MultiLineString": 1, "Polygon": 1, "MultiPolygon": 2}.get(kind, 0)
    for _ in range(depth):
        if not isinstance(value, list):
            return 1
        value = [item for part in value for item in (part if isinstance(part, list) else [part])] if _ else list(value)
    return len(value) if depth and isinstance(value, list) else 1


@settings(max_examples=5 * EXAMPLES)
@given(geometry=damaged())
@example(geometry={"type": "MultiPolygon", "coordinates": [[], [SQUARE]]})
def test_damaged_lists_of_geojson(geometry: dict[str, Any], tmp_path_factory: pytest.TempPathFactory) -> None:
    sound = {"type": "Polygon", "coordinates": [SQUARE]}
    rest = [sound] * 9  # so that one position astray does not make the layer one in metres
    data = loaded(geojson(tmp_path_factory.mktemp("lists") / "plots.geojson", geometry, *rest))
    assert data is not None
    found = places(data) - len(rest)
    told = [finding for finding in data.findings if finding.facts.get("row") == 1]
    assert found >= 0
    assert found >= lists_of(geometry) or told, (geometry, data.findings)
    if found == 0:
        assert {finding.rule.id for finding in told} & {"import.bad-geometry", "import.no-geometry"}


@pytest.mark.parametrize("form", FORMATS)
@settings(max_examples=EXAMPLES)
@given(data=st.data())
def test_damaged_bytes(form: str, data: st.DataObject, tmp_path_factory: pytest.TempPathFactory) -> None:
    folder = tmp_path_factory.mktemp("bytes")
    squares = [[[[lon + step / 10.0, lat] for lon, lat in SQUARE]] for step in range(ROWS)]
    path = layer(form, folder, "Polygon", *squares)
    file = data.draw(st.sampled_from(sorted(item for item in folder.iterdir() if item.suffix != ".prj")))
    content = bytearray(file.read_bytes())
    for _ in range(data.draw(st.integers(1, 3))):
        at = data.draw(st.integers(0, len(content) - 1))
        what = data.draw(st.sampled_from(["byte", "bit", "cut", "zeros"]))
        if what == "byte":
            content[at] = data.draw(st.integers(0, 255))
        elif what == "bit":
            content[at] ^= 1 << data.draw(st.integers(0, 7))
        elif what == "cut":
            del content[max(at, 1) :]
        else:
            end = min(at + 64, len(content))
            content[at:end] = bytes(end - at)
    file.write_bytes(content)
    result = loaded(path)
    if result is None:
        return
    rows = {finding.facts.get("row") for finding in result.findings} - {None}
    whole = [
        finding
        for finding in result.findings
        if "row" not in finding.facts and finding.severity in (Severity.WARNING, Severity.ERROR)
    ]
    boundaries = [field for field in result.fields if field.boundaries]
    accounted = len(boundaries) + len(rows) + len(result.guidance) + len(result.points)
    assert accounted >= ROWS or whole, (file.name, result.findings, boundaries)
