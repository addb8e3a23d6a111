"""GeoJSON (RFC 7946) reading: any document, by the standard library's parser, with the numbers as they are."""

from __future__ import annotations

import base64
from collections.abc import Sequence
from dataclasses import replace
from itertools import chain
from pathlib import Path
from typing import Any

import numpy as np
import pyarrow as pa
import shapely

from taskdata import strict_json
from taskdata.errors import SourceError, UnfitError
from taskdata.findings import Place
from taskdata.formats import side_tables
from taskdata.formats.base import RawTable, Tables
from taskdata.formats.columns import GEOMETRY, KEY
from taskdata.formats.drivers.geojson_text import Features, read_features
from taskdata.formats.geometries.nested import DEPTHS
from taskdata.formats.geometries.ragged import Singly, at_once, in_halves
from taskdata.formats.styles.simplestyle import without_simplestyle
from taskdata.raised_rules.import_.value_left_out import RULE as VALUE_LEFT_OUT

_NUMBERS = {int, float}


def read_file(path: Path) -> Tables:
    """Return one document as a table, and what is wrong in it.

    Raises
    ------
    SourceError
        It is no GeoJSON.
    """
    features = read_features(path)
    arrays = _properties(features, path.name)
    if path.stem in side_tables.SPECS:
        if "content" in arrays and path.stem == side_tables.FILES.name:
            arrays["content"] = _decoded(arrays["content"], path)
    else:
        arrays[GEOMETRY] = _geometries(features, path.name)
    numbers = np.array(features.numbers, dtype=np.int64)
    raw = RawTable(path.stem, path.name, pa.table(arrays), features.crs, always_wgs84=True, numbers=numbers)
    found = Tables(findings=features.findings)
    found.add(replace(raw, heights=None) if features.crs is None else raw)
    return found


def _properties(features: Features, file: str) -> dict[str, pa.Array]:
    properties = []
    for feature, number in zip(features.objects, features.numbers, strict=True):
        stated = feature.get("properties")
        properties.append(stated if isinstance(stated, dict) else {})
        unfit = stated is not None and not isinstance(stated, dict)
        if unfit or GEOMETRY in properties[-1]:
            what = f"The properties of row {number} of {file}" if unfit else f'"geometry" of row {number} of {file}'
            why = "they are not an object" if unfit else "a property of that name would replace the geometry"
            place = Place(file=file, record=number - 1)
            features.findings.append(VALUE_LEFT_OUT.at(place, what=what, reason=why))
    names = dict.fromkeys(name for item in properties for name in item)
    if KEY in names:  # a layer of ours, which may have been written with the styles of its features
        names = dict.fromkeys(without_simplestyle(list(names)))
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
            why="they are not valid base64",
            remedy="Restore the file, or remove both carried files to read only the layers.",
        ) from error


def _geometries(features: Features, file: str) -> pa.Array:
    """Return the geometry of each feature as WKB, those of one type all at once."""
    geometries = [feature.get("geometry") for feature in features.objects]
    singly = Singly(file, file, features.findings)
    records: list[bytes | None] = [None] * len(geometries)
    by_kind: dict[str, list[int]] = {}
    for row, geometry in enumerate(geometries):
        if geometry is not None:
            by_kind.setdefault(str(geometry.get("type")) if isinstance(geometry, dict) else "?", []).append(row)
    for kind, rows in by_kind.items():

        def many(some: Sequence[int], kind: str = kind) -> Any:
            return _at_once(kind, [geometries[row] for row in some])

        def one(row: int) -> Any:
            return singly.built(geometries[row], features.numbers[row])

        shapes = np.empty(len(rows), dtype=object)
        shapes[:] = in_halves(rows, many, one) if kind in DEPTHS else [one(row) for row in rows]
        for row, record in zip(rows, shapely.to_wkb(shapes), strict=True):
            records[row] = record
    return pa.array(records, pa.large_binary())


def _at_once(kind: str, geometries: list[Any]) -> Any:
    """Return geometries of one type from their nested lists of positions.

    Raises
    ------
    UnfitError
        Something in one of them is not as RFC 7946 has it.
    """
    levels = []
    try:
        flat = [geometry["coordinates"] for geometry in geometries]
        for _ in range(DEPTHS[kind]):
            levels.append(np.cumsum([0, *map(len, flat)]))
            flat = [part for parts in flat for part in parts]
        if not set(map(type, chain.from_iterable(flat))) <= _NUMBERS:
            raise UnfitError("a coordinate is not a number")
        positions = np.array(flat, dtype=np.float64)
    except (KeyError, ValueError, TypeError, OverflowError):
        raise UnfitError("a position is not a list of two or three numbers") from None
    if positions.ndim != 2 or positions.shape[1] not in (2, 3):
        raise UnfitError("positions differ in length")
    return at_once(kind, positions, levels)
