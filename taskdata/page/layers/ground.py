"""Fields, the other areas in them, lines and points."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import numpy as np

from taskdata.geometry.areas import pieces
from taskdata.geometry.geodesy import line_length
from taskdata.model.dataset import Dataset
from taskdata.model.fields import Field
from taskdata.model.shapes import Area, AreaKind, Line, LineKind, Point, PointKind
from taskdata.page.scene import Coordinates, Form, SceneLayer, Shape
from taskdata.page.wording import Wording
from taskdata.palette import AREA_STYLES
from taskdata.reports.inspect import field_document, field_documents
from taskdata.translations import N_

KEPT_CLEAR = {"water", "obstacle", "road", "buffer"}
"""Styles of areas that machines keep clear of."""
AREA_WORDS = {
    AreaKind.BOUNDARY: N_("Boundary"),
    AreaKind.TREATMENT_ZONE: N_("Treatment zone"),
    AreaKind.WATER: N_("Water"),
    AreaKind.BUILDING: N_("Building"),
    AreaKind.ROAD: N_("Road"),
    AreaKind.OBSTACLE: N_("Obstacle"),
    AreaKind.FLAG: N_("Flag"),
    AreaKind.OTHER: N_("Other area"),
    AreaKind.MAIN_FIELD: N_("Main field"),
    AreaKind.HEADLAND: N_("Headland"),
    AreaKind.BUFFER_ZONE: N_("Buffer zone"),
    AreaKind.WINDBREAK: N_("Windbreak"),
}
LINE_WORDS = {
    LineKind.TRAM_LINE: N_("Tram line"),
    LineKind.SAMPLING_ROUTE: N_("Sampling route"),
    LineKind.DRAINAGE: N_("Drain"),
    LineKind.FENCE: N_("Fence"),
    LineKind.FLAG: N_("Flag"),
    LineKind.OBSTACLE: N_("Obstacle"),
}
POINT_WORDS = {
    PointKind.FLAG: N_("Flag"),
    PointKind.OTHER: N_("Other point"),
    PointKind.FIELD_ACCESS: N_("Field access"),
    PointKind.STORAGE: N_("Storage"),
    PointKind.OBSTACLE: N_("Obstacle"),
    PointKind.GUIDANCE_A: N_("Guidance point A"),
    PointKind.GUIDANCE_B: N_("Guidance point B"),
    PointKind.GUIDANCE_CENTRE: N_("Centre of guidance"),
    PointKind.GUIDANCE_POINT: N_("Guidance point"),
    PointKind.FIELD_REFERENCE: N_("Reference point of the field"),
    PointKind.HOME_BASE: N_("Farmyard"),
}


_RING = 5
"""Points of the smallest closed ring that is drawn without a closer look."""
_Names = Mapping[str, str | None]
"""Names by identifier."""


def field_layer(dataset: Dataset, word: Wording) -> SceneLayer:
    """Return the boundaries of all fields."""
    figures = field_documents(dataset.fields)
    people = {item.id: item.name for item in dataset.customers} | {item.id: item.name for item in dataset.farms}
    crops = {crop.id: crop.name for crop in dataset.crops}
    found = zip(dataset.fields, figures, strict=True)
    shapes = [_field(field, known, (people, crops), word) for field, known in found]
    return SceneLayer("fields", word.t("Fields"), [shape for shape in shapes if shape.parts])


def area_layers(dataset: Dataset, word: Wording, *, kept_clear: bool) -> Iterator[SceneLayer]:
    """Yield the other areas of fields, a layer for each style: what machines keep clear of, or the rest."""
    styles: dict[str, list[Shape]] = {}
    labels: dict[str, dict[str, None]] = {}
    for field in dataset.fields:
        for area in field.areas:
            style = AREA_STYLES.get(area.kind.name.lower(), "other")
            if (style in KEPT_CLEAR) is not kept_clear:
                continue
            shape = _area(area, field, style, word)
            if shape.parts:
                styles.setdefault(style, []).append(shape)
                labels.setdefault(style, {})[word.t(AREA_WORDS[area.kind])] = None
    for style, shapes in styles.items():
        yield SceneLayer(f"areas-{style}", ", ".join(labels[style]), shapes)


def line_layer(dataset: Dataset, word: Wording) -> SceneLayer:
    """Return all lines that are no guidance."""
    shapes = [
        _line(line, field, word)
        for field in dataset.fields
        for line in field.lines
        if line.kind is not LineKind.GUIDANCE and len(line.points)
    ]
    return SceneLayer("lines", word.t("Other lines"), shapes)


def point_layer(dataset: Dataset, word: Wording) -> SceneLayer:
    """Return all points of fields."""
    shapes = [
        _point(point, field, word)
        for field in dataset.fields
        for point in field.points
        if np.isfinite([point.lon, point.lat]).all()
    ]
    return SceneLayer("points", word.t("Points"), shapes)


def polygons(areas: Sequence[Area]) -> list[list[Coordinates]]:
    """Return polygons as they are drawn: each its outer ring and its holes."""
    rings = [ring for area in areas for ring in (*area.exteriors, *area.interiors)]
    if len(rings) == 1 and _is_drawn_as_stored(rings[0]):
        return [[rings[0]]]
    return [[outer, *holes] for outer, holes in pieces(areas)[0]]


def _is_drawn_as_stored(ring: Coordinates) -> bool:
    """Tell whether a ring alone is closed, of a size, and clear of 180 degrees, as most outlines of fields are."""
    if len(ring) < _RING or ring[0, 0] != ring[-1, 0] or ring[0, 1] != ring[-1, 1]:
        return False
    (west, south), (east, north) = ring.min(axis=0).tolist(), ring.max(axis=0).tolist()
    return bool(-180.0 <= west < east <= 180.0 and east - west < 180.0 and -90.0 <= south < north <= 90.0)


def titled(kind: str, name: str | None, identifier: str | None) -> str:
    """Return what something is, with its name and identifier."""
    named = f"{kind} {name}" if name else kind
    return f"{named} ({identifier})" if identifier else named


def _field(field: Field, figures: dict[str, Any], known: tuple[_Names, _Names], word: Wording) -> Shape:
    people, crops = known
    facts = [
        (word.t("Area"), word.area(figures["area_m2"])),
        (word.t("Length of the boundary"), word.length(figures["perimeter_m"], 0)),
    ]
    if field.declared_area_m2 is not None:
        facts.append((word.t("Declared area"), word.area(field.declared_area_m2)))
    for label, key, names in ((N_("Customer"), field.customer, people), (N_("Farm"), field.farm, people)):
        if key is not None:
            facts.append((word.t(label), names.get(key) or key))
    if field.crop is not None:
        facts.append((word.t("Crop"), crops.get(field.crop) or field.crop))
    title = titled(word.t("Field"), field.name, field.id)
    return Shape(Form.AREA, polygons(field.boundaries), "outline", title, facts, field.name or field.id)


def _area(area: Area, field: Field, style: str, word: Wording) -> Shape:
    figures = field_document(Field("", "", boundaries=(area,)))
    facts = [(word.t("Area"), word.area(figures["area_m2"])), (word.t("Field"), field.name or field.id)]
    return Shape(Form.AREA, polygons([area]), style, titled(word.t(AREA_WORDS[area.kind]), area.name, area.id), facts)


def _line(line: Line, field: Field, word: Wording) -> Shape:
    facts = [(word.t("Field"), field.name or field.id)]
    if len(line.points) > 1:
        facts.insert(0, (word.t("Length"), word.length(line_length(line.points), 0)))
    kind = word.t(LINE_WORDS.get(line.kind, N_("Line")))
    return Shape(Form.LINE, [[line.points]], "line", titled(kind, line.name, line.id), facts)


def _point(point: Point, field: Field, word: Wording) -> Shape:
    facts = [(word.t("Field"), field.name or field.id)]
    at = np.array([[point.lon, point.lat]])
    title = titled(word.t(POINT_WORDS[point.kind]), point.name, point.id)
    return Shape(Form.POINT, [[at]], "point", title, facts, point.name or "")
