"""Every record is shown in a line or two, whatever it holds."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator, Mapping
from enum import Enum
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import taskdata
from taskdata.findings import Finding, Place, Rule, Severity, Tolerance
from taskdata.model.dataset import Dataset
from taskdata.records import LONGEST, short_repr
from taskdata.results.survey import CrsGuess
from tests import samples


def records(value: Any, seen: set[int]) -> Iterator[Any]:
    """Yield every record in a value, at any depth; the document behind a data set is none of the public ones."""
    if isinstance(value, str | bytes | Enum | np.ndarray) or id(value) in seen:
        return
    seen.add(id(value))
    if isinstance(value, Mapping):
        yield from (found for item in value.values() for found in records(item, seen))
    elif isinstance(value, tuple | list):
        yield from (found for item in value for found in records(item, seen))
    elif dataclasses.is_dataclass(value) and not isinstance(value, type):
        yield value
        for item in dataclasses.fields(value):
            if item.name != "lossless":
                yield from records(getattr(value, item.name), seen)


def assert_short(value: Any) -> set[str]:
    """Assert that every record in a value is shown shortly, and return the kinds of records."""
    kinds = set()
    for record in records(value, set()):
        text = repr(record)
        assert len(text) <= LONGEST
        assert text.startswith(type(record).__name__)
        assert text.isprintable()
        kinds.add(type(record).__name__)
    return kinds


@pytest.mark.parametrize("source", samples.EVERY, ids=str)
def test_what_reading_and_checking_return_is_shown_shortly(source: Path) -> None:
    data = taskdata.read(source, crs="EPSG:32632" if source == samples.DISPLAY else None)
    for task in data.tasks:
        for log in task.logs:
            assert log.length is None or log.records is not None
    logs = [log.records for task in data.tasks for log in task.logs]
    assert {"Dataset", "Field"} <= assert_short([data, logs, data.findings, data.unread, data.guidance])
    assert "CheckReport" in assert_short(taskdata.check(data))
    assert len(repr(data.lossless)) <= LONGEST


def test_what_every_function_returns_is_shown_shortly(tmp_path: Path) -> None:
    data = taskdata.read(samples.MACHINE)
    found = [
        taskdata.convert(samples.MACHINE, tmp_path / "out", to="shapefile", dry_run=True),
        taskdata.clean(samples.BROKEN, tmp_path / "clean", review=True, dry_run=True),
        taskdata.merge(samples.STICKS, tmp_path / "season", dry_run=True),
        taskdata.compare(samples.OFFICE, data),
        taskdata.coverage(data, task="TSK3"),
        taskdata.passes(samples.OFFICE, field="PFD1", width_m=24.0),
        taskdata.shift(samples.OFFICE, tmp_path / "moved", east_m=0.8, dry_run=True),
        [log.columns() for task in data.tasks for log in task.logs],
        taskdata.rules("geometry"),
        taskdata.Implement(width_m=24.0),
        taskdata.Receiver({"receiver.name": "x" * 999}),
        next(iter(data.tasks[0].zones)).setpoints,
        (survey := taskdata.survey(samples.DISPLAY.parent / "mixed-stick")),
        survey.items,
        taskdata.ratemap(
            samples.DISPLAY.parent / "rates" / "spraying.geojson",
            tmp_path / "plan",
            into=samples.OFFICE,
            field="PFD1",
            column="l_ha",
            unit="L/ha",
            dry_run=True,
        ),
        CrsGuess("EPSG:32632", ("x" * 999,)),
        taskdata.report(samples.OFFICE, tmp_path / "page.svg"),
        taskdata.Batch("check", "out", (taskdata.BatchedSource("x" * 999, None, 0, None, None, 0.0),)),
    ]
    kinds = assert_short(found)
    classes = {name for name in dir(taskdata) if dataclasses.is_dataclass(getattr(taskdata, name))}
    assert classes - kinds - assert_short([data, data.task("TSK1").log().records, taskdata.check(data)]) == set()


def test_what_stands_in_a_record_can_be_read() -> None:
    data = taskdata.read(samples.MACHINE)
    line, area = data.guidance[0], data.areas[0]
    assert repr(line) == (
        "GuidanceLine(kind=GuidanceKind.AB, points=<float64 array of shape (2, 2)>, name='AB Südkante', id='GPN1', "
        "spacing_m=24.0, propagation=1, extension=1)"
    )
    assert repr(area).startswith("Area(kind=AreaKind.MAIN_FIELD, exteriors=<1 ndarray>, name='Hauptfläche', id='PLN2'")
    assert repr(data.tasks[0].logs[0]) == "Log(file='TLG00001', quantities=<14 Logged>)"


def test_values_of_every_kind_are_cut() -> None:
    @short_repr
    @dataclasses.dataclass(frozen=True)
    class Anything:
        value: Any
        more: tuple[Any, ...] = ()
        hidden: Any = None
        key: int = 0

    assert repr(Anything("x" * 99)) == f"Anything(value='{'x' * 35}...')"
    assert repr(Anything(10**5000)) == "Anything(value=<int of 16610 bits>)"
    assert repr(Anything(np.zeros(3), more=(1, None, "a"))) == (
        "Anything(value=<float64 array of shape (3,)>, more=(1, None, 'a'))"
    )
    assert repr(Anything({"a": 1}, more=("b",))) == "Anything(value={'a': 1}, more=('b',))"
    assert repr(Anything(tuple(range(9)), hidden=print, key=3)) == "Anything(value=<9 values>)"
    assert repr(Anything([Anything(1), Severity.NOTE], more=(Anything(1),))) == (
        "Anything(value=<2 items>, more=<1 Anything>)"
    )
    assert repr(Anything(Place(file="A\nB"))) == "Anything(value=<Place>)"


def test_a_finding_reads_as_its_message_with_its_place() -> None:
    rule = Rule("family.wrong-thing", Severity.ERROR, "{name} is {number} of {total}", "Mend {name} with [[crs]]!")
    place = Place(file="TASKDATA.XML", line=12, element="PFD1", location=(7.0, -54.25))
    found = rule.at(place, name="it", number=0.1 + 0.2, total=None)
    assert found.message == "it is 0.3 of none."
    assert found.remedy == "Mend it with `crs`!"
    assert str(found) == "TASKDATA.XML:12 at 54.2500000 S, 7.0000000 E PFD1: it is 0.3 of none."
    assert repr(found) == (
        "Finding(error family.wrong-thing: 'TASKDATA.XML:12 at 54.2500000 S, 7.0000000 E PFD1: it is 0.3 of none.')"
    )
    assert str(rule.at(Place(), name="it", number=1, total=2)) == "it is 1 of 2."


def test_findings_of_every_sample_read_as_text() -> None:
    for source in samples.EVERY:
        for found in taskdata.check(source).findings:
            assert isinstance(found, Finding)
            assert str(found).endswith(found.message)
            assert found.message[-1] in ".!?"
            assert found.remedy
    assert isinstance(taskdata.read(samples.OFFICE), Dataset)


def test_losses_and_differences_read_as_sentences() -> None:
    done = taskdata.convert(samples.OFFICE, "older", to="isoxml", version=3, dry_run=True)
    first = done.losses[0]
    assert str(first).startswith(f"{first.kind}: ")
    assert str(first).endswith(f"{first.what}: {first.why}.")
    found = taskdata.compare(samples.OFFICE, samples.MACHINE).differences
    assert str(found[0]) == "changed: DataTransferOrigin of the set: 1 -> 2."
    for item in (*done.losses, *found):
        assert item.what in str(item)
        assert str(item).endswith(".")


@pytest.mark.parametrize(
    ("value", "shown"),
    [(3.0, "3.0"), (-3.0963198184473244e-15, "-3.1e-15"), (10.123456789123, "10.12345679"), (np.float64(0.5), "0.5")],
)
def test_figures_are_short(value: float, shown: str) -> None:
    assert f"default={shown}," in repr(Tolerance("spike.angle", value, "degree", "an angle"))
