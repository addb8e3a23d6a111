"""Styles beside layers: QML and SLD in a GeoPackage, simplestyle in GeoJSON; and what reading makes of them.

QGIS 3.22 (Debian's package, without a display) opened what was made of the sample of a machine and of its coverage and
drew it by these styles. It is too large for the suite, so the tests hold what it read: the table and the elements of a
style.
"""

from __future__ import annotations

import json
import re
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from lxml import etree

import taskdata
from taskdata.formats.styles.simplestyle import PROPERTIES
from taskdata.palette import styles
from tests import samples

QGIS_COLUMNS = [
    "id",
    "f_table_catalog",
    "f_table_schema",
    "f_table_name",
    "f_geometry_column",
    "styleName",
    "styleQML",
    "styleSLD",
    "useAsDefault",
    "description",
    "owner",
    "ui",
    "update_time",
]
"""The columns of the table that QGIS makes in a GeoPackage."""
RENDERERS = {"fields": "singleSymbol", "areas": "categorizedSymbol", "treatment_zones": "graduatedSymbol"}
OGC = {"se": "http://www.opengis.net/se", "sld": "http://www.opengis.net/sld", "ogc": "http://www.opengis.net/ogc"}


@pytest.fixture
def package(tmp_path: Path) -> Path:
    path = tmp_path / "farm.gpkg"
    taskdata.convert(samples.MACHINE, path)
    return path


def rows(path: Path, query: str) -> list[tuple[str, ...]]:
    with closing(sqlite3.connect(path)) as base:
        return base.execute(query).fetchall()


def test_every_layer_with_shapes_has_a_style_that_is_taken_by_itself(package: Path) -> None:
    assert [row[1] for row in rows(package, "PRAGMA table_info(layer_styles)")] == QGIS_COLUMNS
    shapes = {
        (table, column) for table, column in rows(package, "SELECT table_name, column_name FROM gpkg_geometry_columns")
    }
    styled = rows(package, "SELECT f_table_name, f_geometry_column, useAsDefault FROM layer_styles")
    assert {row[:2] for row in styled} == shapes
    assert {row[2] for row in styled} == {1}
    assert rows(package, "SELECT data_type FROM gpkg_contents WHERE table_name = 'layer_styles'") == [("attributes",)]


def test_styles_are_in_the_colours_of_the_palette(package: Path) -> None:
    drawn = dict(rows(package, "SELECT f_table_name, styleQML FROM layer_styles"))
    for name, text in drawn.items():
        root = etree.fromstring(text.encode())
        renderer = root.find("renderer-v2")
        assert renderer is not None
        assert renderer.get("type") == RENDERERS.get(name, renderer.get("type"))
        symbols = {item.get("name") for item in renderer.findall("symbols/symbol")}
        assert {item.get("symbol") for item in renderer.iter("category", "range")} <= symbols
    stroke = styles()["guidance"].stroke
    assert ",".join(str(int(stroke[at : at + 2], 16)) for at in (1, 3, 5)) in drawn["guidance_lines"]
    assert "filled_arrowhead" in drawn["guidance_lines"]


def test_the_other_document_filters_by_the_same_column(package: Path) -> None:
    encoded = dict(rows(package, "SELECT f_table_name, styleSLD FROM layer_styles"))
    for name, text in encoded.items():
        root = etree.fromstring(text.encode())
        assert root.tag == f"{{{OGC['sld']}}}StyledLayerDescriptor"
        assert root.xpath("string(//sld:NamedLayer/se:Name)", namespaces=OGC) == name
        assert root.xpath("count(//se:Rule)", namespaces=OGC) >= 1
    areas = etree.fromstring(encoded["areas"].encode())
    assert "headland" in areas.xpath("//ogc:Literal/text()", namespaces=OGC)


def test_styles_are_no_part_of_the_set(package: Path, tmp_path: Path) -> None:
    taskdata.convert(package, tmp_path / "back", to="isoxml")
    assert taskdata.compare(samples.MACHINE, tmp_path / "back").equal
    assert not [loss for loss in taskdata.convert(package, tmp_path / "x.gpkg").losses if "style" in loss.what]


def test_a_style_that_was_changed_is_not_replaced(package: Path) -> None:
    taskdata.convert(samples.OFFICE, package, overwrite=True)
    with closing(sqlite3.connect(package)) as base, base:
        base.execute(
            "UPDATE layer_styles SET styleQML = replace(styleQML, 'qgis', 'qgis ') WHERE f_table_name = 'fields'"
        )
    with pytest.raises(taskdata.TargetError, match="layer_styles"):
        taskdata.convert(samples.OFFICE, package, overwrite=True)


def test_the_same_layers_have_the_same_styles(package: Path, tmp_path: Path) -> None:
    other = tmp_path / "again.gpkg"
    taskdata.convert(samples.MACHINE, other)
    query = "SELECT * FROM layer_styles ORDER BY id"
    assert rows(package, query) == rows(other, query)


def test_features_say_how_they_are_drawn_and_reading_leaves_that_aside(tmp_path: Path) -> None:
    taskdata.convert(samples.MACHINE, tmp_path / "out", to="geojson", simplestyle=True)
    features = json.loads((tmp_path / "out" / "fields.geojson").read_text(encoding="utf-8"))["features"]
    style = styles()["field"]
    for feature in features:
        assert feature["properties"]["fill"] == style.fill
        assert feature["properties"]["stroke-width"] == style.width
    kinds = json.loads((tmp_path / "out" / "areas.geojson").read_text(encoding="utf-8"))["features"]
    fills = {item["properties"]["kind"]: item["properties"]["fill"] for item in kinds}
    assert fills["water"] == styles()["water"].fill
    for file in (tmp_path / "out").glob("*.geojson"):
        for feature in json.loads(file.read_text(encoding="utf-8")).get("features", ()):
            for name in set(PROPERTIES) & set(feature["properties"]):
                value = feature["properties"][name]
                assert value is None or isinstance(value, int | float) or re.fullmatch(r"#[0-9a-f]{6}|small", value)
    taskdata.convert(tmp_path / "out", tmp_path / "back", to="isoxml")
    assert taskdata.compare(samples.MACHINE, tmp_path / "back").equal


def test_other_formats_cannot_say_it(tmp_path: Path) -> None:
    with pytest.raises(taskdata.UsageError, match="has no simplestyle"):
        taskdata.convert(samples.OFFICE, tmp_path / "farm.gpkg", simplestyle=True)
