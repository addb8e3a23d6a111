"""Areas that a column of a layer states, compared with those of its shapes where they would lie.

They tell feet from metres, and degrees that are swapped: a length three times too long makes an area ten times too
large. A column is known by its name (`data/area_words.csv`); where the name tells no unit, each of the usual units is
tried.
"""

from __future__ import annotations

import math
import re
from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from taskdata.formats.placing.sampling import Sample
from taskdata.geometry.geodesy import polygon_area
from taskdata.geometry.transform import Transformation
from taskdata.resources import table

_CLOSE = 0.03
"""How far the median of stated to computed areas may be from 1: areas are rounded, or leave out headlands."""
_ROW_CLOSE = 0.10
_MOST_ROWS = 0.6
_MAX_ROWS = 60
_UNITS = {"ha": 10_000.0, "acres": 4046.8564224, "m²": 1.0}
"""Hectare and square metre by definition, the international acre of NIST SP 811."""


class StatedAreas(NamedTuple):
    """A column of areas, the values in its unit with their rows, and what its unit may be, in square metres."""

    column: str
    rows: NDArray[np.int64]
    values: NDArray[np.float64]
    units: dict[str, float]


def stated_areas(sample: Sample) -> StatedAreas | None:
    """Return the column of a layer of polygons that states their areas, None without one."""
    kinds = shapely.get_type_id(sample.shapes)
    polygons = np.isin(kinds, (shapely.GeometryType.POLYGON, shapely.GeometryType.MULTIPOLYGON))
    for column in sample.raw.table.column_names:
        units = _units(column)
        if not units:
            continue
        values = _numbers(sample.raw.table[column].to_pylist())
        rows = np.flatnonzero(polygons & np.isfinite(values) & (values > 0.0))[:_MAX_ROWS]
        if len(rows):
            return StatedAreas(column, rows, values[rows], units)
    return None


def unit_that_fits(sample: Sample, stated: StatedAreas, conversion: Transformation, scale: float = 1.0) -> str | None:
    """Return the unit in which stated areas agree with those of the shapes, None where they agree in none.

    ``scale`` is multiplied with the coordinates first, as where they are in another length than a system says.
    """
    computed = np.array([_area(sample.shapes[row], conversion, scale) for row in stated.rows.tolist()])
    with np.errstate(invalid="ignore", divide="ignore"):
        for name, metres in stated.units.items():
            ratio = stated.values * metres / computed
            close = np.isfinite(ratio) & (np.abs(ratio - 1.0) <= _ROW_CLOSE)
            if close.mean() >= _MOST_ROWS and abs(float(np.nanmedian(ratio)) - 1.0) <= _CLOSE:
                return name
    return None


def _units(column: str) -> dict[str, float]:
    """Return what the unit of a column of areas may be; nothing where its name is not that of areas."""
    words = {row["word"]: row["square_metres"] for row in table("area_words")}
    apart = re.sub(r"(?<=[a-zäöüß])(?=[A-Z])", " ", column.replace("²", "2")).casefold()
    said = re.split(r"[\W_]+", apart)
    known = {word: float(words[word]) for word in said if words.get(word)}
    return known or (dict(_UNITS) if any(word in words for word in said) else {})


def _numbers(values: list[object]) -> NDArray[np.float64]:
    """Return values as numbers, NaN for anything else; texts may have a decimal comma."""
    return np.array([_number(value) for value in values])


def _number(value: object) -> float:
    if isinstance(value, bool) or value is None:
        return math.nan
    try:
        return float(str(value).strip().replace(",", "."))
    except ValueError:
        return math.nan


def _area(shape: object, conversion: Transformation, scale: float) -> float:
    """Return the area of a polygon or several in m² where a system places it."""
    total = 0.0
    for part in shapely.get_parts(shape):
        rings = [conversion.forward(shapely.get_coordinates(ring) * scale) for ring in shapely.get_rings(part)]
        if not all(np.isfinite(ring).all() for ring in rings):
            return math.nan
        total += polygon_area(rings[:1], rings[1:])
    return total
