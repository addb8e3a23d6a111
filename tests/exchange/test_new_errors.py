"""What is made of edited rows and records is audited as it is written; what is copied is not."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from taskdata import api
from taskdata.exchange.convert import convert, write
from taskdata.exchange.load import load
from taskdata.exchange.merging import merge_sets
from taskdata.exchange.shifting import shift
from taskdata.findings import Severity
from tests import samples
from tests.exchange.layers import layers_of, repeated_code, type_into


def test_an_error_made_in_a_row_is_told_with_its_place_in_the_target(tmp_path: Path) -> None:
    layers = repeated_code(tmp_path)
    foreseen = convert(layers, tmp_path / "dry", to="isoxml", dry_run=True)
    result = convert(layers, tmp_path / "s", to="isoxml")
    assert [error.rule.id for error in result.new_errors] == ["zone.repeated-code"]
    (error,) = result.new_errors
    assert error.place.element == "TSK1"
    assert error.place.file == "TASKDATA.XML"
    line = (tmp_path / "s" / "TASKDATA" / "TASKDATA.XML").read_text(encoding="utf-8").splitlines()[error.place.line - 1]
    assert "<TZN" in line
    assert foreseen.new_errors == result.new_errors
    assert not (tmp_path / "dry").exists()
    found = {item.rule.id for item in api.check(tmp_path / "s").findings if item.severity is Severity.ERROR}
    assert found == {"zone.repeated-code"}


def test_errors_that_the_source_had_are_not_told_again(tmp_path: Path) -> None:
    layers = layers_of(samples.BROKEN, tmp_path)
    assert convert(layers, tmp_path / "same", to="isoxml").new_errors == ()
    type_into(layers, "fields", 0, name="Umbenannt")
    assert convert(layers, tmp_path / "s", to="isoxml").new_errors == ()
    assert convert(samples.BROKEN, tmp_path / "copy", to="isoxml").new_errors == ()
    errors = [item for item in api.check(tmp_path / "s").findings if item.severity is Severity.ERROR]
    assert len(errors) > 20


def test_records_changed_in_python_are_audited(tmp_path: Path) -> None:
    dataset = load(samples.OFFICE).dataset
    first, *rest = dataset.fields
    changed = dataset.with_changes(fields=(replace(first, parent=first.id), *rest))
    result = write(changed, tmp_path / "s", to="isoxml", dry_run=True)
    assert {error.rule.id for error in result.new_errors} == {"field.part-of-itself"}
    assert write(dataset, tmp_path / "s", to="isoxml", dry_run=True).new_errors == ()


def test_what_was_edited_before_it_was_read_is_audited_where_it_is_written(tmp_path: Path) -> None:
    dataset = api.read(repeated_code(tmp_path))
    assert [error.rule.id for error in api.write(dataset, tmp_path / "s", to="isoxml").new_errors] == [
        "zone.repeated-code"
    ]
    moved = shift(dataset, tmp_path / "moved" / "TASKDATA", east_m=1.0)
    assert [error.rule.id for error in moved.written.new_errors] == ["zone.repeated-code"]


def test_a_merge_tells_what_no_source_had(tmp_path: Path) -> None:
    layers = repeated_code(tmp_path)
    result = merge_sets([samples.BROKEN, layers], tmp_path / "s")
    assert [error.rule.id for error in result.new_errors] == ["zone.repeated-code"]
    assert merge_sets([samples.BROKEN, samples.OFFICE], tmp_path / "copy").new_errors == ()


def test_layers_of_other_programs_are_audited_as_the_set_they_become(tmp_path: Path) -> None:
    assert convert(samples.DISPLAY, tmp_path / "s", to="isoxml", crs="EPSG:32632").new_errors == ()
