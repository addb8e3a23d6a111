"""An export of another program into a task data set: its identifiers stay, its fields are known again."""

from __future__ import annotations

import re
from pathlib import Path

import geopandas
import pandas
import pytest
import shapely
from lxml import etree

import taskdata
from tests import samples

SETS = (samples.OFFICE, samples.MACHINE)


def named(folder: Path) -> dict[str, str | None]:
    """Identifier and name of everything in a set that has an identifier, read by lxml alone."""
    roots = [etree.parse(path).getroot() for path in folder.rglob("*") if path.name.upper().endswith(".XML")]
    tags = ("PFD", "CTR", "FRM", "WKR", "DVC", "TSK", "PDT", "GGP", "GPN", "PLN")
    elements = [item for root in roots for item in root.iter(*tags) if len(item.get("A", "")) > 3]
    return {item.get("A", ""): item.get("C" if item.tag == "PFD" else "B") for item in elements}


@pytest.fixture
def export(tmp_path: Path) -> Path:
    """Three known fields with thinned or moved outlines, one of them a part of another field, and a new field."""
    known = taskdata.read(samples.OFFICE).frame("fields").set_index("id").loc[["PFD1", "PFD2", "PFD4"]]
    known = known[["name", "geometry"]].to_crs(32632)
    known.geometry = known.geometry.simplify(0.5)
    known.loc["PFD4", "geometry"] = shapely.affinity.translate(known.loc["PFD4", "geometry"], 1.3, 0.0)
    known.loc["PFD2", "name"] = "Hölle"
    new = geopandas.GeoDataFrame({"name": ["Nyåker"]}, geometry=[shapely.box(7.05, 54.31, 7.055, 54.315)], crs=4326)
    path = tmp_path / "export.gpkg"
    pandas.concat([new.to_crs(32632), known]).to_file(path)
    return path


@pytest.mark.parametrize("name", SETS, ids=lambda path: Path(path).name)
@pytest.mark.parametrize("set_first", [True, False])
def test_the_set_keeps_its_identifiers_and_newcomers_come_after(
    name: Path, set_first: bool, export: Path, tmp_path: Path
) -> None:
    sources = [name, export] if set_first else [export, name]
    done = taskdata.merge(sources, tmp_path / "season")
    before, after = named(Path(name)), named(tmp_path / "season")
    new = {item: called for item, called in after.items() if item not in before}
    assert {item: after[item] for item in before} == before
    assert [called for item, called in new.items() if item.startswith("PFD")] == ["Nyåker"]
    (number,) = [int(item[3:]) for item in new if item.startswith("PFD")]
    assert number == 1 + max(int(item[3:]) for item in before if re.fullmatch(r"PFD\d+", item))
    assert done.renumbered[str(name)] == {}
    assert {item.element for item in done.merged if item.element.startswith("PFD")} == {"PFD1", "PFD2", "PFD4"}
    assert not [item for item in taskdata.check(tmp_path / "season").findings if item.severity == "error"]


def test_what_the_export_says_otherwise_is_told(export: Path, tmp_path: Path) -> None:
    done = taskdata.merge([export, samples.MACHINE], tmp_path / "season", dry_run=True)
    (told,) = [item for item in done.journal if item.what.startswith("PartfieldDesignator of Partfield PFD2")]
    assert told.kept == 'Kuhle & "Hölle" (mit Teich)'
    assert told.dropped == ("Hölle",)
    assert "a task data set takes precedence over layers" in told.why


def test_the_same_export_again_adds_nothing(export: Path, tmp_path: Path) -> None:
    taskdata.merge([samples.OFFICE, export], tmp_path / "once")
    taskdata.merge([export, tmp_path / "once"], tmp_path / "twice")
    assert named(tmp_path / "twice") == named(tmp_path / "once")


def test_a_gap_in_the_numbers_of_the_set_is_left(export: Path, tmp_path: Path) -> None:
    """A number that was free may be one that was deleted: whoever still refers to it must not find another field."""
    stick = tmp_path / "stick" / "TASKDATA"
    stick.mkdir(parents=True)
    ring = "".join(f'<PNT A="10" C="{y}" D="{x}"/>' for x, y in ((7, 54), (7.001, 54), (7.001, 54.001), (7, 54)))
    fields = f'<PFD A="PFD9" C="F9" D="1000"><PLN A="1"><LSG A="1">{ring}</LSG></PLN></PFD>'
    (stick / "TASKDATA.XML").write_text(
        '<?xml version="1.0" encoding="UTF-8"?>\n<ISO11783_TaskData VersionMajor="4" VersionMinor="3" '
        f'ManagementSoftwareManufacturer="m" ManagementSoftwareVersion="1" DataTransferOrigin="1">{fields}'
        "</ISO11783_TaskData>"
    )
    taskdata.merge([stick, export], tmp_path / "season")
    fields = sorted(item for item in named(tmp_path / "season") if item.startswith("PFD"))
    assert fields == ["PFD10", "PFD11", "PFD12", "PFD13", "PFD9"]
