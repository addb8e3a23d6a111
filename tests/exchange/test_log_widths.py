"""Position logs with a column of widths: the machine and the worked area that they tell, against the drive."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

import taskdata
from tests.fieldwork import build

LENGTH_M, ROWS, WIDTH_M = 200.0, 4, 12.0
HEAD = "Breite;Laenge;Zeit;Arbeitsbreite [m];Arbeitsstellung;Tempo"


def drive(path: Path, width: str = "12,0", state: str = "1", head: str = HEAD, turn: str = "") -> Path:
    """Rows of 200 m side by side, a record each second of 2.5 m; between rows 30 s without one."""
    lines, second = [head], 0
    for row in range(ROWS):
        along = np.arange(0.0, LENGTH_M + 1.0, 2.5)
        places = build.degrees(np.column_stack([np.full(len(along), WIDTH_M * row), along]))[:: -1 if row % 2 else 1]
        for number, (lon, lat) in enumerate(places):
            clock = f"18.04.2024 08:{second // 60:02d}:{second % 60:02d}"
            last = number == len(places) - 1
            cells = [f"{lat:.9f}", f"{lon:.9f}", clock, turn if turn and last else width, "0" if last else state, "9,0"]
            lines.append(";".join(cell.replace(".", ",") if at < 2 else cell for at, cell in enumerate(cells)))
            second += 1
        second += 30
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path


@pytest.mark.parametrize("through", ["", "set", "layers.gpkg"])
def test_the_worked_area_is_that_of_the_drive(tmp_path: Path, through: str) -> None:
    source = drive(tmp_path / "log.csv")
    if through:
        taskdata.convert(source, tmp_path / through, to=None if "." in through else "isoxml")
    data = taskdata.read(tmp_path / through if through == "set" else source)
    (found,) = taskdata.coverage(data).tasks
    assert found.areas.worked_m2 == pytest.approx(ROWS * LENGTH_M * WIDTH_M, rel=0.002)
    assert found.figures.distance_m == pytest.approx(ROWS * LENGTH_M, rel=0.002)
    assert [machine.working_width_m for machine in data.machines] == [WIDTH_M]


def test_widths_are_read_in_their_unit_and_outliers_are_left_out(tmp_path: Path) -> None:
    head = HEAD.replace("Arbeitsbreite [m]", "Arbeitsbreite [cm]")
    data = taskdata.read(drive(tmp_path / "log.csv", width="1200", turn="99999999", head=head))
    assert [machine.working_width_m for machine in data.machines] == [WIDTH_M]
    (found,) = taskdata.coverage(data).tasks
    assert found.areas.worked_m2 == pytest.approx(ROWS * LENGTH_M * WIDTH_M, rel=0.002)


def test_nothing_is_worked_where_the_state_says_so(tmp_path: Path) -> None:
    head = HEAD.replace("Arbeitsbreite [m]", "Largeur")
    idle = taskdata.read(drive(tmp_path / "log.csv", state="0", head=head))
    assert taskdata.coverage(idle).tasks[0].areas.worked_m2 == pytest.approx(0.0, abs=1e-6)


def test_what_is_read_and_what_is_not_is_told(tmp_path: Path) -> None:
    told = {item.rule.id: item.message for item in taskdata.read(drive(tmp_path / "log.csv")).findings}
    assert "width from Arbeitsbreite [m] (in m), work state from Arbeitsstellung" in told["import.columns-taken"]
    assert told["import.log-columns-left-out"].endswith("without these columns: Tempo.")


def test_each_log_of_several_gets_its_own_width(tmp_path: Path) -> None:
    folder = tmp_path / "logs"
    folder.mkdir()
    for name, width in (("a", "12,0"), ("b", "6,0"), ("c", "")):
        drive(folder / f"{name}.csv", width=width)
    data = taskdata.read(folder)
    names = {task.id: task.name for task in data.tasks}
    worked = {names[found.task]: found.areas for found in taskdata.coverage(data).tasks}
    assert worked["a"].worked_m2 == pytest.approx(ROWS * LENGTH_M * 12.0, rel=0.002)
    assert worked["b"].worked_m2 == pytest.approx(ROWS * LENGTH_M * 6.0, rel=0.002)
    assert len(data.machines) == 2
