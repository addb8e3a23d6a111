"""Which tasks of a field are one operation, and the reason why others are not."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from taskdata import coverage
from taskdata.model.dataset import Dataset
from taskdata.model.logs import Log
from taskdata.results.coverage import Coverage
from tests.fieldwork import build

GROUND = build.field([(-5, 0), (40, 0), (40, 100), (-5, 100)])
MACHINES = [build.sprayer([5000, 5000])]


def later(log: Log, days: int) -> Log:
    records = log.records
    assert records is not None
    moved = replace(records, time=records.time + np.timedelta64(days, "D"))
    return replace(log, read=lambda: moved)


def two(first: dict, second: dict, *, days: int = 0) -> Dataset:
    """A set of two tasks on one field, each two passes over the same 20 m."""
    log = build.passes(2, 10.0, 100.0)
    one = build.dataset([log], MACHINES, [GROUND])
    (task,) = one.tasks
    tasks = [replace(task, id=f"TSK{number}", **more) for number, more in enumerate((first, second), start=1)]
    tasks[1] = replace(tasks[1], logs=(later(log, days),))
    return one.with_changes(tasks=tuple(tasks))


def reasons(found: tuple[Coverage, ...]) -> set[str]:
    notes = [note for item in found for note in item.notes if note.rule.id == "coverage.kept-apart"]
    return {str(note.facts["reason"]) for note in notes}


@pytest.mark.parametrize(
    ("first", "second", "reason"),
    [
        ({"practice": "CPC1"}, {"practice": "CPC1", "machines": ("DVC3",)}, None),
        ({"products": ("PDT1",)}, {"products": ("PDT1", "PDT2"), "machines": ("DVC3",)}, None),
        ({}, {}, None),
        ({"practice": "CPC1"}, {"practice": "CPC2"}, "they are different practices (CPC1, CPC2)"),
        (
            {"practice": "CPC1", "products": ("PDT1",)},
            {"practice": "CPC1", "products": ("PDT2",)},
            "they apply different products (PDT1, PDT2)",
        ),
        (
            {"machines": ("DVC2",)},
            {"machines": ("DVC3",)},
            "different machines did them, and neither a product nor a practice shows that it was the same work",
        ),
    ],
)
def test_product_practice_and_machines_decide(first: dict, second: dict, reason: str | None) -> None:
    found = coverage(two(first, second), together=True).tasks
    assert [item.task for item in found] == (["TSK1+TSK2"] if reason is None else ["TSK1", "TSK2"])
    assert reasons(found) == (set() if reason is None else {reason})
    if reason is None:
        assert found[0].areas.double_m2 == pytest.approx(2000.0, rel=1e-5)


@pytest.mark.parametrize(("days", "whole"), [(20, True), (25, False)])
def test_the_same_work_weeks_apart_is_another_operation(days: int, whole: bool) -> None:
    found = coverage(two({"practice": "CPC1"}, {"practice": "CPC1"}, days=days), together=True).tasks
    assert (len(found) == 1) is whole
    assert reasons(found) == (set() if whole else {"they are 24 days apart"})


def test_tasks_that_are_named_are_one_operation() -> None:
    data = two({"practice": "CPC1"}, {"practice": "CPC2"})
    (found,) = coverage(data, task=["TSK1", "TSK2"], together=True).tasks
    assert found.task == "TSK1+TSK2"
    assert [item.task for item in coverage(data, task=["TSK1", "TSK2"]).tasks] == ["TSK1", "TSK2"]
    assert [item.task for item in coverage(data, task="TSK2").tasks] == ["TSK2"]


def test_tasks_of_different_fields_stay_apart_without_a_word() -> None:
    data = two({"practice": "CPC1"}, {"practice": "CPC2", "field": "PFD2"})
    other = replace(GROUND, id="PFD2")
    found = coverage(data.with_changes(fields=(GROUND, other)), together=True).tasks
    assert len(found) == 2
    assert reasons(found) == set()
