"""Whatever is typed into a row or set in a record is refused, told, or makes no error: never one without a word.

A run without ``TASKDATA_FUZZ`` looks at a part of the values, another for each column.
"""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from taskdata import api
from taskdata.errors import UsageError
from taskdata.exchange.convert import convert, write
from taskdata.exchange.load import load
from taskdata.findings import Severity
from taskdata.results.conversion import Conversion
from tests import samples
from tests.exchange import hostile
from tests.exchange.layers import layers_of, type_into
from tests.heavy import HEAVY

FEW = 1
WITHIN = {"setpoints": ("setpoints", "ddi", "raw_value", "rate", "unit", "value", "product", "part")}
"""Columns that hold several values, and what these are called."""

RECORDS = load(samples.OFFICE).dataset
PYTHON = hostile.attributes(RECORDS)


def some(values: tuple[object, ...], turn: int) -> list[object]:
    """Return all values, or a few that change with the turn."""
    return list(values) if HEAVY else [values[(turn * FEW + step) % len(values)] for step in range(FEW)]


def errors_of(target: Path) -> set[tuple[str, str | None]]:
    found = api.check(target, max_per_rule=0).findings
    return {(item.rule.id, item.place.element) for item in found if item.severity is Severity.ERROR}


def outcome_of(job: Callable[[], Conversion]) -> Conversion | str:
    """Return what was written, or why it was refused."""
    try:
        return job()
    except UsageError as error:
        return str(error)


def assert_told(outcome: Conversion | str, target: Path) -> None:
    if isinstance(outcome, str):
        assert not target.exists()
        return
    told = {(item.rule.id, item.place.element) for item in outcome.new_errors}
    assert errors_of(target) <= told


@pytest.fixture(scope="module")
def layers(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return layers_of(samples.OFFICE, tmp_path_factory.mktemp("office"))


@pytest.mark.parametrize(
    ("turn", "layer", "column"),
    [(turn, *cell) for turn, cell in enumerate(hostile.cells())],
    ids=[f"{layer}-{column}" for layer, column in hostile.cells()],
)
def test_no_value_of_a_row_makes_an_error_without_a_word(
    layers: Path, tmp_path: Path, turn: int, layer: str, column: str
) -> None:
    for number, value in enumerate(some(hostile.JSON, turn)):
        folder = Path(shutil.copytree(layers, tmp_path / f"layers{number}"))
        type_into(folder, layer, 0, **{column: value})
        target = tmp_path / f"s{number}"
        outcome = outcome_of(lambda folder=folder, target=target: convert(folder, target, to="isoxml"))
        if isinstance(outcome, str):
            assert f"of row 1 of {layer} is " in outcome, value
            assert any(name in outcome for name in WITHIN.get(column, (column,))), value
        assert_told(outcome, target)


@pytest.mark.parametrize(
    ("turn", "way", "name"),
    [(turn, *item) for turn, item in enumerate(PYTHON)],
    ids=[f"{'.'.join(map(str, way))}-{name}" for way, name in PYTHON],
)
def test_no_value_of_a_record_makes_an_error_without_a_word(
    tmp_path: Path, turn: int, way: tuple[object, ...], name: str
) -> None:
    for number, value in enumerate(some(hostile.PYTHON, turn)):
        target = tmp_path / f"s{number}"
        records = hostile.changed(RECORDS, way, name, value)
        outcome = outcome_of(lambda records=records, target=target: write(records, target, to="isoxml"))
        if isinstance(outcome, str):
            assert f"{name} of " in outcome, value
        assert_told(outcome, target)
