"""What planned tasks ask for: sums made by hand, and the totals that a rate map tells when it is made."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

import taskdata
from taskdata.fieldwork.applied.planned_amounts import planned_amounts
from taskdata.model.shapes import Area, AreaKind
from taskdata.model.tasks import Grid, Setpoint, Task, TaskStatus, Zone
from taskdata.quantities.by_area import farm_rate
from tests.fieldwork import build
from tests.samples import OFFICE, SAMPLES

VOLUME, MASS, DEPTH = 1, 6, 56
L_HA = 10_000
"""Raw steps of 0.01 mm³/m² in a litre a hectare."""
FIELD = [(0, 0), (200, 0), (200, 100), (0, 100)]


def area(*corners: tuple[float, float]) -> Area:
    return Area(AreaKind.TREATMENT_ZONE, (build.degrees(corners),))


def zone(code: int, litres: float, *areas: Area, product: str | None = "PDT1") -> Zone:
    return Zone(code, areas=areas, setpoints=(Setpoint(VOLUME, round(litres * L_HA), product),))


def grid(kind: int, cells: np.ndarray, setpoints: tuple[Setpoint, ...] = ()) -> Grid:
    """Return two cells beside each other, each 100 by 100 m, the first on the west of the field."""
    (_, _), (east, _), (_, north) = (build.degrees([place])[0] for place in [(0, 0), (100, 0), (0, 100)])
    size = (float(north) - build.LAT, float(east) - build.LON)
    return Grid("GRD00001", kind, build.LAT, build.LON, *size, 2, 1, lambda: cells, setpoints=setpoints)


def litres(task: Task, *, bounded: bool = True) -> dict[str | None, float | None]:
    """Return what a task on a field of 200 by 100 m asks for, a product each."""
    fields = (build.field(FIELD),) if bounded else ()
    made = replace(build.dataset([], fields=fields), tasks=(replace(task, field="PFD1"),))
    shown = farm_rate(VOLUME)
    return {item.product: None if item.amount is None else shown.product(item.amount) for item in planned_amounts(made)}


def planned(*zones: Zone, **more: object) -> Task:
    return Task("TSK1", TaskStatus.PLANNED, zones=zones, **more)  # type: ignore[arg-type]


WEST = area((0, 0), (100, 0), (100, 100), (0, 100))
MIDDLE = area((50, 0), (150, 0), (150, 100), (50, 100))
BEYOND = area((100, 0), (400, 0), (400, 100), (100, 100))


@pytest.mark.parametrize(
    ("task", "expected"),
    [
        pytest.param(planned(zone(1, 100.0, WEST)), 100.0, id="a hectare at 100 L/ha"),
        pytest.param(planned(zone(1, 100.0, WEST), zone(2, 300.0, MIDDLE)), 250.0, id="the first zone holds first"),
        pytest.param(planned(zone(2, 300.0, MIDDLE), zone(1, 100.0, WEST)), 350.0, id="in the order of the set"),
        pytest.param(planned(zone(1, 100.0, BEYOND)), 100.0, id="not beyond the field"),
        pytest.param(planned(zone(1, 100.0, WEST), zone(9, 40.0), default_zone=9), 140.0, id="the default elsewhere"),
        pytest.param(planned(zone(9, 40.0), default_zone=9), 80.0, id="the default alone"),
        pytest.param(planned(zone(9, 40.0), out_of_field_zone=9), None, id="nothing for the ground outside"),
        pytest.param(
            planned(zone(1, 100.0), zone(2, 50.0), grid=grid(1, np.array([[1, 2]], np.uint8))), 150.0, id="codes"
        ),
        pytest.param(
            planned(
                zone(1, 0.0), grid=grid(2, np.array([[[100], [50]]], np.int32) * L_HA, (Setpoint(VOLUME, 0, "PDT1"),))
            ),
            150.0,
            id="cells with rates",
        ),
    ],
)
def test_rates_by_ground(task: Task, expected: float | None) -> None:
    found = litres(task)
    assert found.get("PDT1") == (None if expected is None else pytest.approx(expected, rel=1e-4))
    assert len(found) == (expected is not None)


def test_without_a_boundary_zones_count_whole_and_the_default_for_nothing() -> None:
    task = planned(zone(1, 100.0, BEYOND), zone(9, 40.0), default_zone=9)
    assert litres(task, bounded=False) == {"PDT1": pytest.approx(300.0, rel=1e-4)}


def test_parts_of_a_mixture_count_apart_from_its_sum() -> None:
    mixed = [Setpoint(VOLUME, 200 * L_HA), Setpoint(VOLUME, 196 * L_HA, "PDT4"), Setpoint(VOLUME, 4 * L_HA, "PDT3")]
    task = planned(Zone(1, areas=(WEST,), setpoints=tuple(mixed)))
    assert litres(task) == {"PDT4": pytest.approx(196.0, rel=1e-4), "PDT3": pytest.approx(4.0, rel=1e-4)}


def test_what_cannot_be_told_is_told_as_such() -> None:
    both = tuple(Setpoint(VOLUME, rate * L_HA, "PDT1", part) for rate, part in ((100, "DET2"), (120, "DET3")))
    assert litres(planned(Zone(1, areas=(WEST,), setpoints=both))) == {"PDT1": None}
    beside = planned(zone(1, 100.0, WEST), grid=grid(1, np.array([[1, 1]], np.uint8)))
    assert litres(beside) == {"PDT1": None}


@pytest.mark.parametrize("status", [TaskStatus.COMPLETED, TaskStatus.CANCELLED, TaskStatus.TEMPLATE])
def test_tasks_that_are_over_ask_for_nothing(status: TaskStatus) -> None:
    assert litres(replace(planned(zone(1, 100.0, WEST)), status=status)) == {}


def test_settings_that_are_no_amounts_are_left_out() -> None:
    assert litres(planned(Zone(1, areas=(WEST,), setpoints=(Setpoint(DEPTH, 50, "PDT1"),)))) == {}


@pytest.mark.parametrize("form", ["zones", "grid1", "grid2"])
def test_the_total_is_that_of_the_rate_map_that_was_made(form: str, tmp_path: Path) -> None:
    layer, where = SAMPLES / "rates" / "spraying.geojson", {"into": OFFICE, "field": "PFD1", "machine": "DVC2"}
    made = taskdata.ratemap(
        layer,
        tmp_path / "out",
        unit="L/ha",
        column="l_ha",
        product="PDT5",
        form=form,
        cell_m=None if form == "zones" else 24.0,
        **where,
    )  # type: ignore[arg-type]
    found = {item.task: item for item in planned_amounts(taskdata.read(tmp_path / "out"))}
    (line,) = made.bill
    amount = found[made.task].amount
    assert amount is not None
    assert farm_rate(VOLUME).product(amount) == pytest.approx(line.after, rel=1e-6)
    assert found[made.task].product == "PDT5"
