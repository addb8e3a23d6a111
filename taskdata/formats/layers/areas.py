"""Layer ``areas``: every polygon of a field besides its boundary, and where guidance is valid."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import partial

from taskdata.formats.columns import (
    GEOMETRY,
    Column,
    ColumnType,
    GeometryType,
    Layer,
    LayerSpec,
    Row,
    key_column,
)
from taskdata.formats.geometries import shapes
from taskdata.formats.layers import wording
from taskdata.formats.layers.polygon_rows import layer_of_areas
from taskdata.formats.layers.row_edits import Changes
from taskdata.model.dataset import Dataset
from taskdata.model.fields import Field
from taskdata.model.shapes import Area, AreaKind

_kind = partial(wording.member, AreaKind)

SPEC = LayerSpec(
    "areas",
    GeometryType.MULTIPOLYGON,
    "Polygons of a field other than its boundary: headlands, obstacles, water, and areas in which guidance is valid.",
    (
        key_column("polygon"),
        Column("id", ColumnType.TEXT, "Identifier of the polygon, such as PLN3"),
        Column("field", ColumnType.TEXT, "Identifier of its field"),
        Column(
            "guidance",
            ColumnType.TEXT,
            "Identifier of the guidance group or line that is valid inside it; empty for other areas",
        ),
        Column(
            "kind",
            ColumnType.TEXT,
            "What the area is",
            wording.words(AreaKind),
            meaning=partial(wording.member, AreaKind),
        ),
        Column("name", ColumnType.TEXT, "Name"),
        Column("area_m2", ColumnType.REAL, "Area on the ellipsoid, without holes", derived=True),
        Column("declared_area_m2", ColumnType.INTEGER, "Area as stated in the source", short="decl_m2"),
        Column("colour", ColumnType.INTEGER, "Number in the standard's palette"),
    ),
)


def project(dataset: Dataset) -> Layer:
    """Return the layer of a data set."""
    return layer_of_areas(SPEC, list(every(dataset)), lambda found: found[2:], lambda found: _row(*found))


def every(dataset: Dataset) -> Iterator[tuple[Field, str | None, Area]]:
    """Yield each area with its field and the identifier of the guidance it belongs to."""
    for field in dataset.fields:
        yield from ((field, None, area) for area in field.areas)
        for group in field.groups:
            yield from ((field, group.id or "", area) for area in group.boundaries)
            for line in group.lines:
                yield from ((field, line.id or "", area) for area in line.boundaries)


def made(row: Row) -> Area:
    """Return a new record of a row that came from nowhere in the source."""
    kind = wording.member(AreaKind, row.get("kind"))
    return reshaped(
        Area(
            kind=AreaKind.OTHER if kind is None else kind,
            exteriors=(),
            name=row.get("name"),
            id=row.get("id"),
            declared_area_m2=row.get("declared_area_m2"),
            colour=row.get("colour"),
        ),
        row.get(GEOMETRY),
    )


def edited(area: Area, changes: Changes) -> Area:
    """Return the record with the changed columns of its row taken over."""
    values = changes.take("name", "declared_area_m2", "colour")
    values |= changes.member("kind", AreaKind)
    if "guidance" in changes.values:
        changes.leave("guidance", "an area cannot change its guidance; draw a new one")
    changed = replace(area, **values) if values else area
    return reshaped(changed, changes.geometry) if changes.moved else changed


def reshaped(area: Area, geometry: shapes.Geometry) -> Area:
    """Return an area with the polygons of a layer's geometry; rings that did not change keep their arrays."""
    pieces = shapes.kept_rings(shapes.polygons(geometry), (*area.exteriors, *area.interiors))
    return replace(
        area,
        exteriors=tuple(exterior for exterior, _ in pieces),
        interiors=tuple(ring for _, holes in pieces for ring in holes),
    )


def _row(field: Field, guidance: str | None, area: Area) -> Row:
    return {
        "key": area.key,
        "id": area.id,
        "field": field.id,
        "guidance": guidance,
        "kind": wording.word(area.kind),
        "name": area.name,
        "declared_area_m2": area.declared_area_m2,
        "colour": area.colour,
    }
