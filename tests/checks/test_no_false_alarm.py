"""Valid sets: no error ever, and no warning that one sentence cannot defend."""

from __future__ import annotations

import pytest
from hypothesis import given

from taskdata import api
from taskdata.checks.run import run
from taskdata.checks.subject import Subject
from taskdata.findings import Severity
from taskdata.isoxml.to_model.dataset import to_dataset
from taskdata.reports import words
from tests import samples
from tests.generate import FileSetContent, build, file_sets
from tests.heavy import HEAVY

# What generated sets are warned of, and why that is right: they obey the standard, not common sense.
DEFENDED = {
    "allocation.unlikely-amount": "amounts are any numbers that fit",
    "attachment.short-name": "names of attached files are drawn as short as A.B, the standard prints a length of 12",
    "boom.no-actual-rate": "devices are drawn at random: a rate can be set that is not reported",
    "boom.no-extent": "devices are drawn at random: booms without offset or width",
    "boom.no-prescription-control": "devices are drawn at random: a settable rate without the state of control",
    "boom.no-section-control": "devices are drawn at random: section states without the state of control",
    "boom.no-work-state": "devices are drawn at random: booms without work state",
    "boom.rate-on-two-levels": "devices are drawn at random: the same rate above and below",
    "boom.rate-without-total": "devices are drawn at random: rates without totals",
    "boom.section-without-extent": "devices are drawn at random: sections without offset or width",
    "comment.no-stop": "times are drawn at random: a continuous comment of a completed task without an end",
    "crop.group-without-crop": "coding data are drawn at random: a group of crops that no crop names",
    "device.unlikely-value": "constants of devices are any numbers that fit",
    "field.far-from-boundary": "shapes are drawn at random: areas, lines and points elsewhere",
    "field.headland-outside": "shapes are drawn at random: headlands that stick out",
    "field.obstacle-outside": "shapes are drawn at random: obstacles elsewhere",
    "field.outside-parent": "shapes are drawn at random: parts of a field elsewhere",
    "field.overlapping": "shapes are drawn at random: fields on the same ground",
    "field.overlapping-parts": "shapes are drawn at random: two parts on one piece of ground",
    "field.parts-far-apart": "shapes are drawn at random: two parts of a field at two places",
    "field.same-ground": "shapes are drawn at random: two fields on one piece of ground",
    "field.same-name": "names are drawn at random from a short list",
    "field.wrong-area": "stated areas are any numbers that fit",
    "geometry.at-zero": "one of the places drawn lies around latitude 0, longitude 0",
    "geometry.lost-sign": "places are drawn in all hemispheres, now and then in mirrored pairs",
    "geometry.swapped-coordinates": "places are drawn anywhere, now and then in pairs with swapped numbers",
    "geometry.wrong-length": "stated lengths are any numbers that fit",
    "grid.bad-extent": "cells of size 0 fit the schema and cover nothing",
    "grid.off-field": "grids are laid anywhere, not on the field of their task",
    "grid.unlikely-value": "values of cells are any numbers that fit",
    "guidance.contradicting-sides": "numbers of swaths and sides are drawn one by one",
    "guidance.far-from-field": "guidance lines are drawn anywhere",
    "guidance.short-line": "swath widths are any numbers that fit, thousands of kilometres too",
    "guidance.spacing-of-no-machine": "swath widths are drawn without a look at the machines",
    "guidance.tight-curve": "curves are drawn at random, with corners",
    "guidance.unlikely-radius": "radii are any numbers that fit, thousands of kilometres too",
    "guidance.unlikely-spacing": "swath widths are any numbers that fit, thousands of kilometres too",
    "guidance.unwanted-pivot-option": "options are drawn for patterns that are no pivots",
    "guidance.wrong-heading": "headings are drawn without a look at A and B",
    "identity.doubled": "names are drawn from a short list, and some things say nothing else",
    "name.invisible-character": "names are drawn with tabs and line breaks",
    "name.look-alike": "names are drawn from a short list of awkward ones, blanks and case aside",
    "points.other-fields": "points of a file are drawn all over the Earth, and their bytes can be read in other ways",
    "product.other-quantity": "setpoints and allocations are drawn without a look at the product",
    "product.unlikely-density": "densities are any numbers that fit",
    "setpoint.not-settable": "setpoints go to elements drawn at random, which need not take them",
    "setpoint.unlikely-value": "setpoints are any numbers that fit",
    "stamp.clock-not-set": "stamps are drawn from year 1 on, the first that they can hold",
    "stamp.in-future": "stamps are drawn up to the year 9999, the last that they can hold",
    "task.no-time": "tasks are drawn as completed by a machine without times",
    "task.planned-with-work": "states are drawn at random: a planned task with a log",
    "task.several-operations": "operations are drawn at random: more than one in a task",
    "task.several-running": "states are drawn at random: two running tasks",
    "task.worked-template": "states are drawn at random: a template with work in it",
    "time.falling-total": "totals are drawn time by time, now and then smaller ones later",
    "time.missing-total": "totals are drawn time by time, now and then one less",
    "time.overlap": "times are drawn one by one and overlap",
    "time.several-planned": "times are drawn one by one: more than one planned",
    "time.unlikely-value": "values are any numbers that fit",
    "time.value-not-offered": "logs hold values of elements drawn at random, which need not have them",
    "time.value-out-of-range": "values are any numbers that fit",
    "time.work-longer-than-time": "totals are drawn without a look at the times",
    "timelog.clock-in-future": "dates of records are drawn up to 2159, the last that two octets hold",
    "timelog.clock-not-set": "dates of records are drawn from 1980 on, the first that they can hold",
    "timelog.falling-total": "values of records are drawn one by one",
    "timelog.fixed-start": "headers with a fixed start are drawn, which the standard allows",
    "timelog.jump": "positions of records are drawn one by one, all over the Earth",
    "timelog.no-position": "positions of records are drawn one by one, now and then all marked as not available",
    "timelog.no-time": "times of records are drawn one by one, now and then all marked as not available",
    "timelog.off-task": "times of logs and tasks are drawn one by one, years apart",
    "timelog.outside-fields": "positions of records are drawn one by one, all over the Earth",
    "timelog.reserved-status": "every code of the position status is drawn, reserved ones too",
    "timelog.time-runs-back": "times of records are drawn one by one",
    "timelog.unlikely-height": "heights are any numbers that fit",
    "timelog.unlikely-value": "values are any numbers that fit",
    "timelog.utc-for-local": "times of logs and tasks are drawn one by one, now and then hours apart",
    "timelog.value-out-of-range": "values are any numbers that fit",
    "zone.outside-field": "zones are drawn anywhere, not on the field of their task",
    "zone.overlap": "zones are drawn at random: the same ground with two rates",
    "zone.unlikely-setpoint": "setpoints are any numbers that fit",
    "zone.unused": "zones are drawn without polygon, and nothing names them",
}

# Errors by common sense alone: what the standard allows and no work leaves behind.
ERRORS_DEFENDED = {"file.empty": "logs and point files are drawn without records, which holds none of the work done"}


@pytest.mark.parametrize("path", samples.SOUND, ids=lambda path: path.parent.name)
def test_the_samples_have_neither_error_nor_warning(path) -> None:  # type: ignore[no-untyped-def]
    assert [item for item in api.check(path).findings if item.severity is not Severity.NOTE] == []


@given(file_sets())
def test_a_valid_set_has_no_error_and_only_warnings_that_can_be_defended(made: FileSetContent) -> None:
    grave, mild = alarms(made)
    assert grave == []
    assert mild - set(DEFENDED) == set()


@pytest.mark.parametrize("version", [2, 3, 4])
def test_sets_of_all_features_too(version: int) -> None:
    for seed in range(40 if HEAVY else 4):
        grave, mild = alarms(build(seed, version))
        assert (grave, mild - set(DEFENDED)) == ([], set()), seed


def test_what_is_defended_exists() -> None:
    warnings = {rule.id for rule in api.rules() if rule.severity is not Severity.ERROR}
    assert set(DEFENDED) <= warnings


def alarms(made: FileSetContent) -> tuple[list[tuple[str, dict[str, object]]], set[str]]:
    """Return the errors with their facts, and the rules that warn."""
    document = made.document()
    found = run(Subject(document, to_dataset(document)))
    assert all(words.message(item) and words.remedy(item) for item in found)
    grave = [(item.rule.id, dict(item.facts)) for item in found if item.severity is Severity.ERROR]
    grave = [(rule, facts) for rule, facts in grave if rule not in ERRORS_DEFENDED]
    return grave, {item.rule.id for item in found if item.severity is Severity.WARNING}
