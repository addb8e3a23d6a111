"""Layers of very many records are made and written some at a time; they hold the same as those made at once."""

import struct

import numpy as np
import pyarrow.parquet as pq
import pyogrio
import pytest

from taskdata import api
from taskdata.exchange.convert import convert
from taskdata.formats import side_tables
from taskdata.formats.columns import LongLayer
from taskdata.formats.layers import held_values, log_values, logs, polygon_rows
from taskdata.isoxml.side_tables import carry, packing
from taskdata.isoxml.timelog import files
from taskdata.model.logs import LogRecords
from tests import samples

HEADER = '<TIM A="" D="4"><PTN A="" B="" D=""/><DLV A="0001" B="" C="DET1"/><DLV A="00A1" B="" C="DET1"/></TIM>'
MAIN = """<?xml version="1.0" encoding="UTF-8"?>
<ISO11783_TaskData VersionMajor="4" VersionMinor="3" DataTransferOrigin="1" ManagementSoftwareManufacturer="Hof"
 ManagementSoftwareVersion="1"><TSK A="TSK1" B="Lindenschlag" G="4"><TLG A="TLG00001"/><TLG A="TLG00002"/></TSK>
</ISO11783_TaskData>"""


def write_set(place, records=900):
    """Write a set of two logs, one with pauses, times that are not known, values that are rare and bytes at its end."""
    place.mkdir()
    (place / "TASKDATA.XML").write_text(MAIN)
    random = np.random.default_rng(5)
    for name, rare, rest in (("TLG00001", 0.02, b"\0" * 40), ("TLG00002", 0.9, b"\x01\x02")):
        (place / f"{name}.XML").write_text(HEADER)
        rows, clock = [], 36_000_000
        for number in range(records):
            clock += 90_000 if random.random() < 0.01 else int(random.integers(180, 220))
            values = [(index, int(random.integers(0, 3_000))) for index in (0, 1) if random.random() < rare]
            known = 0xFFFFFFFF if random.random() < 0.02 else clock
            head = (known, 17_130, 543_000_000 + number * 20, 70_000_000, 4, len(values))
            rows.append(struct.pack("<IHiiBB", *head) + b"".join(struct.pack("<Bi", *value) for value in values))
        (place / f"{name}.BIN").write_bytes(b"".join(rows) + rest)
    return place


@pytest.fixture
def in_parts(monkeypatch):
    """Return a function after which all layers of records are made some at a time."""

    def start(size):
        monkeypatch.setattr(logs, "AT_ONCE", 0)
        monkeypatch.setattr(files, "PART", size)
        monkeypatch.setattr(packing, "IN_MEMORY", 0)

    return start


@pytest.mark.parametrize("size", [700, 1_777, 1 << 20])
@pytest.mark.parametrize("source", ["made", "machine"])
def test_parts_make_the_same_tables(tmp_path, in_parts, source, size):
    place = write_set(tmp_path / "x") if source == "made" else samples.MACHINE
    whole = [module.project(api.read(place)).table for module in (logs, log_values)]
    in_parts(size)
    for module, expected in zip((logs, log_values), whole, strict=True):
        layer = module.project(api.read(place))
        assert isinstance(layer, LongLayer)
        assert layer.count == expected.num_rows > 0
        assert layer.schema.equals(expected.schema, check_metadata=True)
        assert layer.reader().read_all().combine_chunks().equals(expected.combine_chunks())


@pytest.mark.parametrize("name", ["x.gpkg", "x.fgb", "folder"])
def test_targets_are_the_same(tmp_path, in_parts, name):
    source = write_set(tmp_path / "source")
    to = {"x.gpkg": "gpkg", "x.fgb": "flatgeobuf", "folder": "parquet"}[name]
    folder = to != "gpkg"
    places = [tmp_path / kind / (to if folder else name) for kind in ("whole", "parts")]
    for place in places:
        place.parent.mkdir()
    convert(source, places[0], to=to)
    in_parts(1_000)
    convert(source, places[1], to=to)
    if to == "parquet":
        for file in sorted(places[0].iterdir()):
            other = places[1] / file.name
            assert pq.read_table(file).combine_chunks().equals(pq.read_table(other).combine_chunks())
            assert pq.read_metadata(file).metadata.get(b"geo") == pq.read_metadata(other).metadata.get(b"geo")
        return
    for layer in ("log_records", "log_values"):
        found = [pyogrio.read_arrow(p / f"{layer}.fgb" if folder else p, layer=layer)[1] for p in places]
        assert found[0].num_rows == 1_800
        assert found[0].equals(found[1])
    assert api.read(places[1]).task("TSK1").log("TLG00002").length == 900


def test_the_pause_of_a_log_is_five_usual_intervals_by_the_median(tmp_path):
    random = np.random.default_rng(3)
    for size in (1, 2, 7, 50, 51):
        steps = random.integers(-5_000, 40_000, size)
        time = np.datetime64("2024-05-01", "ms") + np.cumsum(steps).astype("timedelta64[ms]")
        time[random.random(size) < 0.2] = np.datetime64("NaT")
        known = np.diff(time[~np.isnat(time)]).astype(np.int64) / 1000.0
        later = known[known > 0]
        expected = max(60.0, 5.0 * np.median(later)) if len(later) else np.inf
        for cut in (1, 3, 100):
            parts = [time[at : at + cut] for at in range(0, size, cut)]
            assert held_values.pause_s(parts) == pytest.approx(expected)


def test_parts_of_a_log_are_its_records(tmp_path, monkeypatch):
    monkeypatch.setattr(files, "PART", 500)
    log = api.read(write_set(tmp_path / "x")).task("TSK1").log("TLG00001")
    parts, whole = list(log.parts()), log.records
    assert isinstance(whole, LogRecords)
    assert len(parts) > 20
    assert sum(len(part.time) for part in parts) == log.length == 900
    np.testing.assert_array_equal(np.concatenate([part.lon for part in parts]), whole.lon)
    np.testing.assert_array_equal(np.concatenate([part.value for part in parts]), whole.value)


@pytest.mark.parametrize("name", ["x.gpkg", "folder"])
def test_layers_of_areas_and_the_carried_set_are_the_same_in_pieces(tmp_path, monkeypatch, name):
    to = {"x.gpkg": "gpkg", "folder": "geojson"}[name]
    places = [tmp_path / kind for kind in ("whole", "parts")]
    for place in places:
        place.mkdir()
    options = {"simplestyle": True} if to == "geojson" else {}
    convert(samples.OFFICE, places[0] / name, to=to, **options)
    for module, constant, value in (
        (polygon_rows, "AT_ONCE", 0),
        (polygon_rows, "_ROWS", 2),
        (carry, "_POINTS_AT_ONCE", 0),
        (side_tables, "_ELEMENTS_AT_ONCE", 7),
    ):
        monkeypatch.setattr(module, constant, value)
    convert(samples.OFFICE, places[1] / name, to=to, verify=True, **options)
    if to == "geojson":
        files = sorted(path.name for path in (places[0] / name).iterdir())
        assert {"fields.geojson", "treatment_zones.geojson"} <= set(files)
        for file in files:
            assert (places[0] / name / file).read_bytes() == (places[1] / name / file).read_bytes()
        return
    for layer in ("fields", "areas", "treatment_zones", "carried_elements"):
        found = [pyogrio.read_arrow(place / name, layer=layer)[1] for place in places]
        assert found[0].num_rows > 0
        assert found[0].equals(found[1])
