"""Layers edited as somebody would in a GIS."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

from taskdata.exchange.convert import convert
from tests import samples

Properties = dict[str, Any]


def layers_of(source: Path, folder: Path) -> Path:
    """Write a set as GeoJSON layers and return their folder."""
    convert(source, folder / "layers", to="geojson")
    return folder / "layers"


def edit(folder: Path, layer: str, change: Callable[[list[dict[str, Any]]], object]) -> None:
    """Change the features of a layer in place."""
    path = folder / f"{layer}.geojson"
    content = json.loads(path.read_text(encoding="utf-8"))
    change(content["features"])
    path.write_text(json.dumps(content), encoding="utf-8")


def type_into(folder: Path, layer: str, row: int, /, **values: object) -> None:
    """Type values into the columns of a row, counted from 0."""
    edit(folder, layer, lambda features: features[row]["properties"].update(values))


def row_of(folder: Path, layer: str, **wanted: object) -> int:
    """Return the number of the first row that has some values."""
    content = json.loads((folder / f"{layer}.geojson").read_text(encoding="utf-8"))
    rows = [feature["properties"] for feature in content["features"]]
    return next(number for number, row in enumerate(rows) if all(row[name] == value for name, value in wanted.items()))


def repeated_code(folder: Path) -> Path:
    """Give two zones of a task the same code, which the rule zone.repeated-code calls an error."""
    layers = layers_of(samples.OFFICE, folder)
    first = row_of(layers, "treatment_zones", task="TSK1")
    rows = json.loads((layers / "treatment_zones.geojson").read_text(encoding="utf-8"))["features"]
    type_into(layers, "treatment_zones", first + 1, code=rows[first]["properties"]["code"])
    return layers
