"""The public descriptions of layers, made of their columns: JSON schemas and the table in ``schemas/README.md``.

``python -m taskdata.formats.layer_descriptions schemas`` writes them; a test compares.
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

from taskdata import strict_json
from taskdata.file_formats.pages import between
from taskdata.formats import side_tables
from taskdata.formats.columns import Column, ColumnType, GeometryType, LayerSpec
from taskdata.formats.drivers import sidecar
from taskdata.formats.layers.computed import RESULTS
from taskdata.formats.layers.of_dataset import SPECS

DIALECT = "https://json-schema.org/draft/2020-12/schema"
GEOJSON_SCHEMA = "geojson-layers.schema.json"
SIDECAR_SCHEMA = "shapefile-sidecar.schema.json"
BEGIN, END = "<!-- layers: made by taskdata.formats.layer_descriptions -->", "<!-- layers: end -->"

_JSON_TYPES = {
    ColumnType.TEXT: "string",
    ColumnType.INTEGER: "integer",
    ColumnType.REAL: "number",
    ColumnType.BOOLEAN: "boolean",
    ColumnType.TIME: "string",
    ColumnType.BINARY: "string",
}
_GEOMETRIES = {
    GeometryType.POINT: ("Point",),
    GeometryType.LINE: ("LineString", "MultiLineString"),
    GeometryType.POLYGON: ("Polygon",),
    GeometryType.MULTIPOLYGON: ("MultiPolygon",),
}


_PREFACE = """\
Every format holds the same layers and columns. Geometry is WGS 84, longitude first, cut at the antimeridian, outer
rings counter-clockwise (clockwise in a shapefile). Layers without rows are not written. Enumerations are written as the
texts listed below. Of logs `log_values` is written, and beside it `log_records` where the carried tables bring the
whole set back; `--raw` writes `log_records` alone.

Layers may be edited in any GIS and converted back to ISO-XML: change values, move vertices, remove rows, add rows with
an empty `key`. What did not change comes back as it was, to the last digit. If two rows have the same key, as after
splitting a polygon, one becomes the changed record and the other a new one. A new line, point or area without `field`
goes to the field that contains it, or to the nearest one within 1 km; anything farther from every field goes into a new
field, which is reported. Removing a layer changes nothing; remove its rows instead. Edits that cannot be written back
(columns of your own, edited log records, computed columns, identifiers) are reported as losses.

A rate is what `rate` and `unit` say together: 150 in a row with L/ha is 150 L/ha. `raw_value`, the integer that is
stored, is computed of them; if it is changed alone or says otherwise, `rate` and `unit` count, which is reported. The
unit may be any of the same dimension (`data/written_units.csv` and `data/units.csv` of the program); one of another
dimension is refused, and so is a rate that is empty, negative where the quantity cannot be, or too large. If only the
unit is changed, the number is read in the new one, which is reported. A rate between two steps of the stored integer is
rounded, which is reported; one that is not changed keeps its integer. Where no unit is known (`ddi` of a manufacturer
or not in the data dictionary), `rate` is empty and `raw_value` counts. Rates feed machines: check them on the display.

A name in a column of identifiers (`customer`, `farm`, `crop`, `variety`, `parent`, `field`, `task`, `group`,
`guidance`) refers to the one record of that name. A new `customer_name` or `farm_name` creates a customer or farm. An
identifier that matches nothing is left out and reported. If a column cannot hold a value, the value is refused with its
row, its column and the allowed range, and nothing is written from the layers until it is corrected; `check` reports it
too.

A guidance line that is not stored as points has a drawn geometry and `drawn` true. If its drawing is changed, an A+
line (`a_plus`) takes its first vertex as A and its heading from the first to the last vertex; a pivot takes the centre
of the circle as its centre, and its mean distance as the radius. Lines steer machines: check the first pass by eye.

The two tables `carried_elements` and `carried_files` hold the rest of the task data set. In a shapefile folder they
are in `taskdata-sidecar.json`, together with full column names, types, and the cells that a dBASE table cannot hold;
beside a shapefile that was written alone, such as `plot.shp`, in `plot.taskdata-sidecar.json`. One file of one layer
in another format has no place for them, and the ledger of losses says so. Such a file may have any name: it is known
by having all columns of its layer."""


def all_specs() -> tuple[LayerSpec, ...]:
    """Return every layer, those of results too, and side table."""
    return (*SPECS.values(), *RESULTS, *side_tables.SPECS.values())


def geojson_schema() -> dict[str, Any]:
    """Return the JSON schema of a layer as GeoJSON: one of the layers, told by ``name``."""
    return {
        "$schema": DIALECT,
        "title": "Layers as GeoJSON",
        "description": "A feature collection (RFC 7946) for each layer of a data set; name says which.",
        "type": "object",
        "oneOf": [{"$ref": f"#/$defs/{spec.name}"} for spec in all_specs()],
        "$defs": {spec.name: _collection(spec) for spec in all_specs()} | _positions(),
    }


def sidecar_schema() -> dict[str, Any]:
    """Return the JSON schema of the sidecar file of shapefiles."""
    any_value = {"type": ["string", "number", "boolean", "null"]}
    stored = _object(
        {
            "name": {"type": "string", "description": "Full name of the column"},
            "short": {"type": "string", "maxLength": sidecar.NAME_LENGTH, "description": "Name in the shapefile"},
            "type": {"enum": [kind.value for kind in ColumnType if kind is not ColumnType.BINARY]},
            "label": {"type": ["string", "null"], "description": "What it shows, in words"},
        }
    )
    cell = _object(
        {
            "row": {"type": "integer", "minimum": 0, "description": "Number of the row as written"},
            "identity": {"type": "array", "items": any_value, "description": "Fingerprint of the row"},
            "column": {"type": "string", "description": "Full name of the column"},
            "stored": any_value
            | {"description": "Value as the shapefile stores it; a different value there is an edit"},
            "value": any_value | {"description": "What the cell means"},
        }
    )
    layer = _object({"columns": {"type": "array", "items": stored}, "cells": {"type": "array", "items": cell}})
    properties: dict[str, Any] = {
        "format": {"const": sidecar.FORMAT},
        "version": {"const": sidecar.VERSION},
        "layers": {"type": "object", "additionalProperties": layer},
    }
    schema = _object(properties)
    schema["properties"] |= {
        spec.name: {"type": "array", "description": spec.description, "items": _properties(spec)}
        for spec in side_tables.SPECS.values()
    }
    return {
        "$schema": DIALECT,
        "title": "Sidecar of shapefiles",
        "description": "What shapefiles cannot hold: column names, texts, types, and the two side tables.",
    } | schema


def layer_tables() -> str:
    """Return the description of all layers and columns in Markdown."""
    return "\n\n".join((_PREFACE, *(markdown(spec) for spec in all_specs())))


def readme(text: str) -> str:
    """Return the text of a page with the part between the two marks made anew; without marks it is added."""
    if BEGIN not in text:
        text = f"{text.rstrip()}\n\n## Layers\n\n{BEGIN}\n{END}\n"
    return between(text, BEGIN, END, layer_tables())


def write(folder: Path) -> None:
    """Write both schemas, and the tables into ``README.md``, in a folder."""
    for name, schema in ((GEOJSON_SCHEMA, geojson_schema()), (SIDECAR_SCHEMA, sidecar_schema())):
        (folder / name).write_text(strict_json.dumps(schema, indent=1) + "\n", encoding="utf-8")
    page = folder / "README.md"
    page.write_text(readme(page.read_text(encoding="utf-8")), encoding="utf-8")


def _collection(spec: LayerSpec) -> dict[str, Any]:
    geometry: dict[str, Any] = {"type": "null"}
    if spec.geometry is not None:
        known = [{"$ref": f"#/$defs/{name}"} for name in _GEOMETRIES[spec.geometry]]
        geometry = {"oneOf": [*known, {"type": "null"}]}
    feature = _object({"type": {"const": "Feature"}, "geometry": geometry, "properties": _properties(spec)})
    features = {"type": "array", "items": feature}
    members = {"type": {"const": "FeatureCollection"}, "name": {"const": spec.name}, "features": features}
    return {"description": spec.description} | _object(members)


def _properties(spec: LayerSpec) -> dict[str, Any]:
    schema = _object({column.name: _value(column) for column in spec.columns})
    if spec.patterns:
        schema["patternProperties"] = {pattern: _value(column) for pattern, column in spec.patterns}
    return schema


def _value(column: Column) -> dict[str, Any]:
    if column.words:
        return {"enum": [*column.words, None], "description": column.description}
    value: dict[str, Any] = {"type": [_JSON_TYPES[column.type], "null"], "description": column.description}
    if column.type is ColumnType.TIME:
        value["pattern"] = r"^\d{4}-\d{2}-\d{2}T\d{2}:\d{2}:\d{2}\.\d{3}$"
    if column.type is ColumnType.BINARY:
        value["contentEncoding"] = "base64"
    return value


def _object(properties: dict[str, Any]) -> dict[str, Any]:
    return {"type": "object", "properties": properties, "required": list(properties), "additionalProperties": False}


def _positions() -> dict[str, Any]:
    """Return the geometry types of RFC 7946 section 3.1 in two dimensions."""
    position = {
        "type": "array",
        "prefixItems": [
            {"type": "number", "minimum": -180, "maximum": 180},
            {"type": "number", "minimum": -90, "maximum": 90},
        ],
        "items": False,
        "minItems": 2,
    }
    line = {"type": "array", "items": {"$ref": "#/$defs/position"}, "minItems": 2}
    ring = {"type": "array", "items": {"$ref": "#/$defs/position"}, "minItems": 4}
    polygon = {"type": "array", "items": ring, "minItems": 1}
    shapes = {
        "Point": {"$ref": "#/$defs/position"},
        "LineString": line,
        "MultiLineString": {"type": "array", "items": line},
        "Polygon": polygon,
        "MultiPolygon": {"type": "array", "items": polygon},
    }
    return {"position": position} | {
        name: _object({"type": {"const": name}, "coordinates": coordinates}) for name, coordinates in shapes.items()
    }


def markdown(spec: LayerSpec) -> str:
    """Return the description of a layer and its columns."""
    kind = "no geometry" if spec.geometry is None else " or ".join(_GEOMETRIES[spec.geometry])
    lines = [
        f"### `{spec.name}` ({kind})",
        "",
        spec.description,
        "",
        "| column | type | meaning |",
        "| --- | --- | --- |",
    ]
    for column in (*spec.columns, *(column for _, column in spec.patterns)):
        meaning = column.description
        if column.words:
            meaning += ": " + ", ".join(f"`{word}`" for word in column.words)
        if column.derived:
            meaning += "; computed, not read back"
        lines.append(f"| `{column.name}` | {column.type.value} | {meaning} |")
    return "\n".join(lines)


if __name__ == "__main__":
    write(Path(sys.argv[1]))
