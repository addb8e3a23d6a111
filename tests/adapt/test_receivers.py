"""After adaptation the rules on a receiver find nothing, and maps, names and rings are what they were, or near."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest
import shapely
from geographiclib.geodesic import Geodesic
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from taskdata.adapt.receivers import to_receiver, version_for
from taskdata.adapt.transliterate import fit_texts, transliterate
from taskdata.checks.run import run
from taskdata.checks.subject import Subject
from taskdata.errors import TargetError
from taskdata.exchange.convert import convert
from taskdata.isoxml.reading.read import read_document
from taskdata.isoxml.receivers import receiver_of
from taskdata.isoxml.to_model.dataset import to_dataset
from taskdata.isoxml.tree.document import Document
from taskdata.model.receiver import Receiver
from taskdata.model.shapes import Area
from taskdata.model.tasks import Grid
from tests import samples
from tests.adapt.sets import errors, made, whats, written
from tests.generate import FileSetContent, file_sets
from tests.heavy import examples

CODES, VALUES, SHAPES = "takes.grid_type_1", "takes.grid_type_2", "takes.polygon_zones"
PROFILES = {
    "older": {
        "receiver.versions": [3],
        "names.longest": 12,
        "names.characters": "ascii",
        "takes.external_files": False,
        "takes.guidance_groups": False,
        "takes.binary_points": False,
        "takes.link_list": False,
    },
    "newer": {"receiver.versions": [4], "takes.guidance_strings": False, "takes.link_list": False},
    "no guidance": {"takes.guidance_strings": False, "takes.guidance_groups": False},
    "grids of codes": {SHAPES: False, VALUES: False},
    "grids of values": {SHAPES: False, CODES: False},
    "thin": {"limits.points_in_ring": 60, "limits.points_in_line": 100, "names.characters": "latin-1"},
}


def left(document: Document, receiver: Receiver) -> list[str]:
    """Return the rules on a receiver that still find something in the set as written."""
    again = written(document)
    return [item.rule.id for item in run(Subject(again, to_dataset(again), receiver=receiver), ["receiver"])]


@pytest.mark.parametrize("values", PROFILES.values(), ids=PROFILES)
@pytest.mark.parametrize("path", samples.SOUND, ids=lambda path: path.parent.name)
def test_samples_satisfy_the_receiver_and_stay_sound(path: Path, values: dict[str, object]) -> None:
    document, receiver = read_document(path), Receiver(values)
    result, ledger = to_receiver(document, receiver)
    assert left(result, receiver) == []
    assert not errors(written(result)) - errors(document)
    assert bool(ledger) == bool(left(document, receiver))


@settings(max_examples=examples(6), suppress_health_check=[HealthCheck.too_slow], deadline=None)
@given(content=file_sets(small=True), name=st.sampled_from(["older", "newer", "no guidance"]))
def test_any_set_satisfies_the_receiver(content: FileSetContent, name: str) -> None:
    document, receiver = content.document(), Receiver(PROFILES[name])
    result, _ = to_receiver(document, receiver)
    assert left(result, receiver) == []
    assert not errors(written(result)) - errors(document)


def test_a_profile_without_a_word_changes_nothing() -> None:
    document = read_document(samples.OFFICE)
    result, ledger = to_receiver(document, Receiver())
    assert ledger == []
    assert result.root.attributes == document.root.attributes


def grid_values(document: Document, task: str) -> list[list[tuple[int, int]]]:
    """Return what each cell applies: dictionary number and value, sorted, cell by cell."""
    found = next(item for item in to_dataset(document).tasks if item.id == task)
    assert found.grid is not None
    cells = found.grid.cells
    assert cells is not None
    if found.grid.kind == 2:
        numbers = [setpoint.ddi for setpoint in found.grid.setpoints]
        return [sorted(zip(numbers, row, strict=True)) for row in cells.reshape(-1, len(numbers)).tolist()]
    rates = {zone.code: sorted((item.ddi, item.value) for item in zone.setpoints) for zone in found.zones}
    return [rates[code] for code in cells.ravel().tolist()]


@pytest.mark.parametrize(
    ("path", "task", "refused"), [(samples.OFFICE, "TSK2", CODES), (samples.OFFICE, "TSK3", VALUES)]
)
def test_a_grid_of_the_other_type_says_the_same_in_every_cell(path: Path, task: str, refused: str) -> None:
    document = read_document(path)
    result, _ = to_receiver(document, Receiver({refused: False}))
    assert grid_values(written(result), task) == grid_values(document, task)


def test_a_grid_becomes_polygons_of_its_cells() -> None:
    """Every middle of a cell lies in polygons that say what the cell said; shapely decides."""
    document = read_document(samples.OLDER)
    old = next(task for task in to_dataset(document).tasks if task.grid is not None)
    result, _ = to_receiver(document, Receiver({CODES: False, VALUES: False}))
    new = next(task for task in to_dataset(written(result)).tasks if task.id == old.id)
    grid = old.grid
    assert grid is not None
    assert new.grid is None
    assert grid.cells is not None
    north, east = np.mgrid[: grid.rows, : grid.columns]
    x = grid.min_lon + (east.ravel() + 0.5) * grid.cell_lon
    y = grid.min_lat + (north.ravel() + 0.5) * grid.cell_lat
    said = {zone.code: {(item.ddi, item.value) for item in zone.setpoints} for zone in old.zones}
    found: list[set[tuple[int, int]]] = [set() for _ in x]
    for zone in new.zones:
        for area in zone.areas:
            ground = shapely.unary_union([shapely.Polygon(ring) for ring in area.exteriors])
            ground = ground.difference(shapely.unary_union([shapely.Polygon(ring) for ring in area.interiors]))
            for at in np.flatnonzero(shapely.contains_xy(ground, x, y)):
                found[at] |= {(item.ddi, item.value) for item in zone.setpoints}
    assert found == [said[code] for code in grid.cells.ravel().tolist()]


def test_zones_become_cells_and_the_ledger_names_the_area_error_of_each() -> None:
    result, ledger = to_receiver(read_document(samples.OFFICE), Receiver(PROFILES["grids of codes"]))
    told = [loss.what for loss in ledger if loss.kind == "approximated"]
    assert [what for what in told if what.startswith("zone 2 becomes cells: 20276 m² becomes ")]
    assert all(abs(float(what.split(", ")[1].split(" %")[0])) < 0.5 for what in told)
    task = next(task for task in to_dataset(written(result)).tasks if task.id == "TSK1")
    assert not any(zone.areas for zone in task.zones)


REFUSED = {
    "rings": {"limits.rings_in_field": 1},
    "do not fit": {"names.longest": 1},
    "moved": {"limits.points_in_ring": 6},
    "version 0, 2": {"receiver.versions": [0, 2]},
    "in any form": {CODES: False, VALUES: False, SHAPES: False},
}


@pytest.mark.parametrize(("word", "values"), [(word.split()[0], values) for word, values in REFUSED.items()])
def test_what_no_step_can_bring_about_is_refused_in_one_line(word: str, values: dict[str, object]) -> None:
    with pytest.raises(TargetError) as caught:
        to_receiver(read_document(samples.OFFICE), Receiver(values))
    assert {"moved": "would move"}.get(word, word) in str(caught.value)
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize(
    ("here", "versions", "wanted"),
    [(4, None, None), (4, [4], None), (4, [2, 3], 3), (3, [4], 4), (2, [3, 4], 3), (4, [0, 3, 4], None)],
)
def test_the_newest_version_that_is_not_newer_than_the_set(here: int, versions: list[int], wanted: int | None) -> None:
    assert version_for(here, versions) == wanted


@given(
    st.lists(st.text("äöüßÄ ab1Ωé€", max_size=20), max_size=12),
    st.sampled_from(["ascii", "latin-1", "any"]),
    st.integers(4, 12) | st.none(),
)
def test_names_fit_and_different_ones_stay_different(texts: list[str], characters: str, longest: int | None) -> None:
    names = fit_texts(texts, characters, longest)
    assert len(set(names.values())) == len(set(texts))
    last = {"ascii": 127, "latin-1": 255, "any": 0x10FFFF}[characters]
    assert all(ord(letter) <= last for name in names.values() for letter in name)
    assert all(longest is None or len(name) <= longest for name in names.values())


def test_a_short_name_is_never_empty_and_no_blank_leads_it() -> None:
    assert fit_texts(["   xy", "a  b", "a"], "any", 3) == {"   xy": "xy", "a  b": "a 2", "a": "a"}
    assert fit_texts(["Feld", "Felder", "FELD"], "any", 2) == {"Feld": "Fe", "Felder": "2", "FELD": "FE"}
    assert fit_texts(["", "ab"], "ascii", 1) == {"": "", "ab": "a"}
    for longest, texts in ((0, ["a"]), (1, ["ab", "ac"])):
        with pytest.raises(ValueError, match="character"):
            fit_texts(texts, "any", longest)


def test_letters_are_spelled_as_people_spell_them() -> None:
    """German by DIN 5007-2 and the passport rule (ICAO Doc 9303, part 3, section 6 A)."""
    assert transliterate("Größe Ährenbrook Übel", "ascii") == "Groesse Aehrenbrook Uebel"
    assert transliterate("Čapek Ñandú Łódź", "latin-1") == "Capek Ñandú Lódz"
    assert transliterate("\u7530", "ascii") == "?"


def test_layers_written_for_a_receiver_have_its_version(tmp_path: Path) -> None:
    receiver = Receiver({"receiver.versions": [3], "names.longest": 6})
    convert(samples.DISPLAY, tmp_path / "s", to="isoxml", crs="EPSG:32632", receiver=receiver, verify=True)
    document = read_document(tmp_path / "s")
    assert document.version == (3, 3)
    assert left(document, receiver) == []


def test_the_default_zone_holds_outside_polygons_that_become_cells() -> None:
    ring = "".join(f'<PNT A="2" C="{n}" D="{e}"/>' for n, e in ((54, 7), (54, 7.001), (54.001, 7), (54, 7)))
    zones = '<TZN A="5"><PDV A="0001" B="9"/></TZN>'
    zones += f'<TZN A="1"><PLN A="2"><LSG A="1">{ring}</LSG></PLN><PDV A="0001" B="3"/></TZN>'
    document = made(4, f'<TSK A="TSK1" G="1" H="5">{zones}</TSK>')
    for refused in (VALUES, CODES):
        result, ledger = to_receiver(document, Receiver({SHAPES: False, refused: False}))
        assert "the rate of the default zone 5" in whats(ledger)
        rates = [rate for cell in grid_values(written(result), "TSK1") for rate in cell]
        assert set(rates) == {(1, 3), (1, 9)}
        assert rates.count((1, 3)) == pytest.approx(rates.count((1, 9)), rel=0.05)


def test_a_line_loses_its_identifier_in_a_pattern() -> None:
    """R-175: only lines of a field have one; a link to it goes too."""
    points = '<PNT A="9" C="54.3" D="7"/><PNT A="9" C="54.31" D="7"/>'
    document = made(4, f'<PFD A="PFD1" C="x" D="0"><LSG A="5" B="AB" C="24000" F="LSG7">{points}</LSG></PFD>')
    result, ledger = to_receiver(document, Receiver({"takes.guidance_strings": False}))
    assert "LSG7" not in written(result).by_id
    assert "PFD1: identifier LSG7" in whats(ledger)
    assert not errors(written(result)) - errors(document)


def test_a_terminal_takes_its_own_set_as_it_is() -> None:
    """What was concluded from a set changes nothing in it, binary points among them."""
    document = read_document(samples.MACHINE)
    result, ledger = to_receiver(document, receiver_of(document, to_dataset(document)))
    assert ledger == []
    assert sorted(result.others) == sorted(document.others)


@pytest.mark.parametrize("zone", ['<TZN A="1">{}</TZN>', '<TZN A="1">{}<PDV A="0006" B="9"/></TZN>'])
def test_polygons_without_rate_or_ground_are_left_out(zone: str) -> None:
    points = '<PNT A="2" C="54.3" D="7"/>' * (1 if "PDV" in zone else 4)
    polygon = f'<PLN A="2"><LSG A="1">{points}</LSG></PLN>'
    document = made(4, f'<TSK A="TSK1" G="1">{zone.format(polygon)}</TSK>')
    result, ledger = to_receiver(document, Receiver({SHAPES: False}))
    assert left(result, Receiver({SHAPES: False})) == []
    assert "TSK1: polygons of the zone 1" in whats(ledger)


@pytest.mark.parametrize("path", [samples.OFFICE, samples.OLDER], ids=lambda path: path.parent.name)
def test_the_areas_that_the_ledger_names_are_true(path: Path) -> None:
    """Polygons by geographiclib before; cells that say the rate of the zone, each by geographiclib, after."""
    document = read_document(path)
    result, ledger = to_receiver(document, Receiver({SHAPES: False, VALUES: False}))
    told = [loss for loss in ledger if " becomes cells: " in loss.what]
    assert told
    before, after = ({task.id: task for task in to_dataset(side).tasks} for side in (document, written(result)))
    for loss in told:
        task, done = before[loss.element or ""], after[loss.element or ""]
        zone = next(zone for zone in task.zones if f"zone {zone.code} becomes" in loss.what)
        areas = re.findall(r"(\d+) m²", loss.what)
        assert float(areas[0]) == pytest.approx(sum(map(ground, zone.areas)), abs=1)
        grid = done.grid
        assert grid is not None
        rates = grid_values(written(result), task.id)
        wanted = {(item.ddi, item.value) for item in zone.setpoints}
        row = [cell_area(grid.min_lon, grid.min_lat + at * grid.cell_lat, grid) for at in range(grid.rows)]
        cells = sum(row[at // grid.columns] for at, rate in enumerate(rates) if wanted <= set(rate))
        assert float(areas[1]) == pytest.approx(cells, abs=1)


def ground(area: Area) -> float:
    rings = [(1, ring) for ring in area.exteriors] + [(-1, ring) for ring in area.interiors]
    return sum(sign * size([tuple(point) for point in ring]) for sign, ring in rings)


def cell_area(west: float, south: float, grid: Grid) -> float:
    east, north = west + grid.cell_lon, south + grid.cell_lat
    return size([(west, south), (east, south), (east, north), (west, north)])


def size(ring: list[tuple[float, float]]) -> float:
    """Return the geodesic area of a ring in m² by geographiclib."""
    polygon = Geodesic.WGS84.Polygon()
    for lon, lat in ring[:-1] if ring[0] == ring[-1] else ring:
        polygon.AddPoint(lat, lon)
    return abs(polygon.Compute()[2])
