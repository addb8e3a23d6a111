"""GeoJSON (RFC 7946) reading: any document, by the standard library's parser, with the numbers as they are."""

from __future__ import annotations

import base64
import gc
import json
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import numpy as np
import pyarrow as pa
import shapely

from taskdata import strict_json
from taskdata.errors import SourceError
from taskdata.findings import Finding, Place
from taskdata.formats import carriage, part_rules, rules
from taskdata.formats.base import RawTable, Tables
from taskdata.formats.columns import GEOMETRY
from taskdata.formats.letters import read_text
from taskdata.litter import entries

SUFFIXES = (".geojson", ".json", ".geojsonl")
_SEPARATOR = "\x1e"
GEOMETRIES = (
    "Point",
    "MultiPoint",
    "LineString",
    "MultiLineString",
    "Polygon",
    "MultiPolygon",
    "GeometryCollection",
)


def read_source(path: Path) -> Tables:
    """Return every GeoJSON file of a folder, or the one that ``path`` names.

    Raises
    ------
    SourceError
        None of them can be read.
    """
    paths = [path] if path.is_file() else [item for item in entries(path) if item.suffix.lower() in SUFFIXES]
    found, errors = Tables(), []
    for item in paths:
        try:
            table, findings = read_file(item)
        except SourceError as error:
            errors.append(error)
            why = error.why or error.what
            found.findings.append(rules.UNREADABLE_LAYER.at(Place(file=item.name), layer=item.name, reason=why))
            continue
        found.add(table)
        found.findings.extend(findings)
    if errors and not found.tables:
        raise errors[0]
    return found


def read_file(path: Path) -> tuple[RawTable, list[Finding]]:
    """Return one document as a table, and what is wrong with its geometry.

    Raises
    ------
    SourceError
        It is no GeoJSON.
    """
    try:
        with _uncollected():
            read = read_text(path.read_bytes())
            document = _document(read.text)
    except (ValueError, RecursionError, OSError) as error:
        remedy = "Copy it again from where it came."
        raise SourceError("The GeoJSON file cannot be read", where=path, why=_reason(error), remedy=remedy) from error
    features = _features(document)
    if features is None:
        raise SourceError(
            "The file is no GeoJSON",
            where=path,
            why="it has no features",
            remedy="Give a FeatureCollection, a Feature or a geometry.",
        )
    findings: list[Finding] = []
    if read.encoding is not None:
        sure = ", which is a guess" if read.guessed else ", as its first bytes say"
        place = Place(file=path.name)
        findings.append(part_rules.NOT_UTF8.at(place, layer=path.name, encoding=read.encoding, sureness=sure))
    crs = _crs_member(document)
    if crs is not None:
        findings.append(rules.CRS_MEMBER.at(Place(file=path.name), layer=path.name))
    arrays = _properties(features)
    if path.stem in carriage.SPECS:
        if "content" in arrays and path.stem == carriage.FILES.name:
            arrays["content"] = _decoded(arrays["content"], path)
    else:
        arrays[GEOMETRY] = _geometries(features, path.name, findings)
    return RawTable(path.stem, path.name, pa.table(arrays), crs, always_wgs84=True), findings


def _reason(error: ValueError | RecursionError | OSError) -> str:
    """Return why a file cannot be read, in words for the user."""
    if isinstance(error, json.JSONDecodeError):
        end = not error.doc[error.pos :].strip()
        where = f"line {error.lineno}, column {error.colno}"
        return f"it ends too early, at {where}" if end else f"it is no JSON from {where} on"
    if isinstance(error, RecursionError):
        return "its brackets are nested deeper than any geometry"
    if isinstance(error, OSError):
        return error.strerror or "the disk refuses"
    return "a number in it has thousands of digits" if "digits" in str(error) else str(error)


def _document(text: str) -> Any:
    """Return what a text says; features one after another (RFC 8142, or one a line) are a collection.

    Raises
    ------
    ValueError
        It is no JSON.
    """
    try:
        return json.loads(text)
    except ValueError:
        pieces = text.split(_SEPARATOR) if _SEPARATOR in text else text.splitlines()
        try:
            features = [json.loads(piece) for piece in pieces if piece.strip()]
        except ValueError:
            features = []
        if not features or not all(isinstance(item, dict) and item.get("type") == "Feature" for item in features):
            raise
    return {"type": "FeatureCollection", "features": features}


def _features(document: Any) -> list[dict[str, Any]] | None:
    """Return the features of a document; a bare geometry is one feature."""
    kind = document.get("type") if isinstance(document, dict) else None
    if kind == "FeatureCollection":
        features = document.get("features")
        return [item for item in features if isinstance(item, dict)] if isinstance(features, list) else None
    if kind == "Feature":
        return [document]
    return [{"type": "Feature", "properties": {}, "geometry": document}] if kind in GEOMETRIES else None


def _crs_member(document: dict[str, Any]) -> str | None:
    """Return the system that a member of before RFC 7946 names; WGS 84 is no news."""
    member = document.get("crs")
    properties = member.get("properties") if isinstance(member, dict) else None
    name = properties.get("name") if isinstance(properties, dict) else None
    return None if not isinstance(name, str) or name.endswith("CRS84") else name


def _properties(features: list[dict[str, Any]]) -> dict[str, pa.Array]:
    stated = (feature.get("properties") for feature in features)
    properties = [item if isinstance(item, dict) else {} for item in stated]
    names = dict.fromkeys(name for item in properties for name in item)
    return {name: column([item.get(name) for item in properties]) for name in names if name != GEOMETRY}


def column(values: list[Any]) -> pa.Array:
    """Return values as an array of one type; where they differ, or are lists or objects, as text."""
    kinds = {type(value) for value in values if value is not None}
    if kinds and kinds <= {int, float} and len(kinds) == 2:
        values, kinds = [None if value is None else float(value) for value in values], {float}
    if len(kinds) > 1 or kinds & {dict, list}:
        values = [value if value is None or isinstance(value, str) else strict_json.dumps(value) for value in values]
    try:
        return pa.array(values, pa.string() if not kinds else None)
    except (pa.ArrowInvalid, OverflowError, UnicodeEncodeError):
        texts = (None if value is None else str(value).encode(errors="replace").decode() for value in values)
        return pa.array(list(texts), pa.string())


def _decoded(texts: pa.Array, path: Path) -> pa.Array:
    try:
        return pa.array([base64.b64decode(text or "", validate=True) for text in texts.to_pylist()], pa.large_binary())
    except ValueError as error:
        raise SourceError(
            "The carried bytes are damaged",
            where=path,
            why="they are no base64",
            remedy="Bring the file back, or remove both carried files to read the layers alone.",
        ) from error


def _geometries(features: list[dict[str, Any]], file: str, findings: list[Finding]) -> pa.Array:
    """Return the geometry of each feature as WKB: types one by one at once, what fails in that one by one."""
    geometries = [feature.get("geometry") for feature in features]
    records: list[bytes | None] = [None] * len(geometries)
    by_kind: dict[str, list[int]] = {}
    for row, geometry in enumerate(geometries):
        if geometry is not None:
            by_kind.setdefault(str(geometry.get("type")) if isinstance(geometry, dict) else "?", []).append(row)
    for kind, rows in by_kind.items():
        try:
            shapes = _at_once(kind, [features[row]["geometry"]["coordinates"] for row in rows])
        except (KeyError, ValueError, TypeError, IndexError, shapely.GEOSException):
            shapes = [_single(geometries[row], row, file, findings) for row in rows]
        for row, record in zip(rows, shapely.to_wkb(np.asarray(shapes, dtype=object)), strict=True):
            records[row] = record
    return pa.array(records, pa.large_binary())


class _UnfitError(ValueError):
    """Coordinates that make no geometry, in words for the user."""


def _at_once(kind: str, coordinates: list[Any]) -> Any:
    """Return geometries of one type from their nested lists of positions.

    Raises
    ------
    ValueError, KeyError, TypeError
        One of them is empty, has heights where others have none, or is no such geometry.
    """
    depth, number = _DEPTHS[kind]
    levels: list[list[int]] = []
    flat = coordinates
    for _ in range(depth):
        levels.append(np.cumsum([0, *map(len, flat)]).tolist())
        flat = [part for parts in flat for part in parts]
    try:
        array = np.array(flat, dtype=np.float64)
    except (ValueError, TypeError):
        raise _UnfitError("a position is no list of two or three numbers") from None
    if array.ndim != 2 or array.shape[1] not in (2, 3):
        raise _UnfitError("positions differ in length")
    offsets = tuple(np.array(level) for level in reversed(levels))
    return shapely.from_ragged_array(shapely.GeometryType(number), array, offsets or None)


def _single(geometry: Any, row: int, file: str, findings: list[Finding]) -> Any:
    try:
        return _shape(geometry)
    except (ValueError, KeyError, TypeError, IndexError, AttributeError, shapely.GEOSException) as error:
        why = "its coordinates are not nested as its type asks"
        if isinstance(error, _UnfitError):
            why = str(error)
        elif isinstance(error, shapely.GEOSException):
            why = "a line needs two points, a ring four and its end where it began"
        findings.append(rules.BAD_GEOMETRY.at(Place(file=file, record=row), row=row + 1, layer=file, reason=why))
        return None


def _shape(geometry: dict[str, Any]) -> Any:
    kind = geometry["type"]
    if kind == "GeometryCollection":
        return shapely.GeometryCollection([_shape(part) for part in geometry["geometries"]])
    if kind not in _DEPTHS:
        raise _UnfitError(f"the type {kind!r} is unknown")
    return _at_once(kind, [geometry["coordinates"]])[0] if geometry["coordinates"] else None


@contextmanager
def _uncollected() -> Iterator[None]:
    """Keep the garbage collector off while very many small objects are made."""
    before = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if before:
            gc.enable()


_DEPTHS = {
    "Point": (0, 0),
    "LineString": (1, 1),
    "Polygon": (2, 3),
    "MultiPoint": (1, 4),
    "MultiLineString": (2, 5),
    "MultiPolygon": (3, 6),
}
"""How many lists stand round the positions of a geometry, and its type number of shapely."""
