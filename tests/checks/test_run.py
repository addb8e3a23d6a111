"""How an audit runs: choice of rules, order, limits, and what happens when a rule fails."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import pytest

from taskdata import api
from taskdata.checks import run as running
from taskdata.checks.registry import RuleModule
from taskdata.checks.subject import Subject
from taskdata.errors import UsageError
from taskdata.findings import Finding, Place, Rule, Severity
from taskdata.model.dataset import Dataset

BROKEN = Path(__file__).parents[2] / "samples" / "broken"
RULE = Rule("test.wrong", Severity.WARNING, "Wrong: {what}.", "Mend it.")
OLD = Rule("test.old", Severity.ERROR, "Old.", "Renew it.", until=3)


def empty(version: tuple[int, int] | None = (4, 3), findings: tuple[Finding, ...] = ()) -> Subject:
    return Subject(None, Dataset("nowhere", "isoxml", version, noted=findings))


def sound(_: Subject) -> Iterator[Finding]:
    yield RULE.at(Place(file="B.XML", line=2), what="b")
    yield RULE.at(Place(file="A.XML", line=9), what="c")
    yield RULE.at(Place(file="A.XML", line=1), what="d")


def failing(_: Subject) -> Iterator[Finding]:
    yield RULE.at(Place(file="A.XML"), what="a")
    raise ZeroDivisionError("division by zero")


def old(_: Subject) -> Iterator[Finding]:
    yield OLD.at(Place(file="A.XML"))


@pytest.fixture
def three(monkeypatch: pytest.MonkeyPatch) -> None:
    modules = (
        RuleModule("test.failing", (RULE,), failing),
        RuleModule("test.sound", (RULE,), sound),
        RuleModule("test.old", (OLD,), old),
    )
    monkeypatch.setattr(running, "rules", lambda: modules)


@pytest.mark.usefixtures("three")
def test_a_rule_that_fails_is_reported_and_the_others_go_on() -> None:
    found = running.run(empty())
    failed = [item for item in found if item.rule is running.RULE_FAILED]
    assert [dict(item.facts) for item in failed] == [
        {"rule": "test.wrong", "cause": "ZeroDivisionError: division by zero"}
    ]
    assert failed[0].severity is Severity.ERROR
    assert [item.facts["what"] for item in found if item.rule is RULE] == ["a", "d", "c", "b"]


@pytest.mark.usefixtures("three")
@pytest.mark.parametrize(("version", "expected"), [((4, 3), 0), ((3, 3), 1), ((2, 0), 1), ((1, 0), 1), (None, 0)])
def test_a_rule_of_other_versions_does_not_apply(version: tuple[int, int] | None, expected: int) -> None:
    assert sum(item.rule is OLD for item in running.run(empty(version))) == expected


@pytest.mark.usefixtures("three")
def test_findings_of_the_reader_are_part_of_the_result_and_can_be_chosen() -> None:
    noticed = RULE.at(Place(file="A.XML", line=5), what="noticed")
    other = Rule("other.wrong", Severity.NOTE, "Other.", "Mend it.")
    subject = empty(findings=(noticed, other.at(Place())))
    assert noticed in running.run(subject)
    assert {item.rule.id for item in running.run(subject, select=["other"])} == {"other.wrong"}
    assert "other.wrong" not in {item.rule.id for item in running.run(subject, ignore=["other.wrong"])}
    assert "test.wrong" not in {item.rule.id for item in running.run(subject, ignore=["test"])}


def test_many_equal_faults_are_capped_and_counted() -> None:
    other = Rule("other.wrong", Severity.NOTE, "Other.", "Mend it.").at(Place())
    many = [RULE.at(Place(line=line), what="x") for line in range(60)]
    listed = running.cap([other, *many], 50)
    assert listed[:51] == [other, *many[:50]]
    (rest,) = listed[51:]
    assert (rest.rule.id, dict(rest.facts), rest.severity) == ("test.wrong", {"count": 10}, Severity.WARNING)
    assert running.cap(many, 60) == many
    assert running.cap(many, 0) == many


def test_the_summary_counts_what_is_not_listed() -> None:
    whole = api.check(BROKEN, max_per_rule=0)
    short = api.check(BROKEN, max_per_rule=1)
    assert short.summary == whole.summary
    assert sum(whole.summary.values()) == len(whole.findings)
    assert len(short.findings) < len(whole.findings)


def test_choosing_by_rule_and_family() -> None:
    found = {item.rule.id for item in api.check(BROKEN, select=["reference", "file.missing"]).findings}
    assert found == {"reference.dangling", "reference.wrong-type", "file.missing"}
    assert not {item.rule.id for item in api.check(BROKEN, ignore=["reference"]).findings} & {"reference.dangling"}
    with pytest.raises(UsageError, match="no rule or family"):
        api.check(BROKEN, select=["nonsense"])


def test_two_runs_give_the_same() -> None:
    first, second = api.check(BROKEN), api.check(BROKEN)
    assert first.findings == second.findings


@pytest.mark.parametrize("name", ["office", "machine", "older"])
def test_the_sound_samples_have_no_error(name: str) -> None:
    report = api.check(BROKEN.parent / name)
    assert not report.reaches(Severity.WARNING), [(item.rule.id, item.place) for item in report.findings]


def test_the_broken_sample_shows_the_faults_put_into_it() -> None:
    """The numbers of the table in samples/broken/FAULTS.md that rules of this list cover."""
    table = (BROKEN / "FAULTS.md").read_text(encoding="utf-8")
    wanted = {line.split("|")[1].strip() for line in table.splitlines() if line.startswith("| R-")}
    covered = {number for rule in api.rules() for number in rule.covers}
    found = {number for item in api.check(BROKEN).findings for number in item.rule.covers}
    assert wanted & covered <= found


@pytest.mark.parametrize("name", ["farm.gpkg", "layers"])
def test_a_set_inside_another_format_is_audited_too(tmp_path: Path, name: str) -> None:
    """The same faults, with elements and paths but without lines, which other formats do not keep."""
    target = tmp_path / name
    api.convert(BROKEN, target, to="gpkg" if name.endswith("gpkg") else "parquet")
    there = {(item.rule.id, item.place.element, item.place.path) for item in api.check(target).findings}
    here = {(item.rule.id, item.place.element, item.place.path) for item in api.check(BROKEN).findings}
    of_bytes = {"file.unreadable", "file.byte-order-mark", "file.name-in-other-case"}
    assert {item for item in here if item[0] not in of_bytes} <= there


def test_layers_of_other_programs_have_no_file_set_to_audit(tmp_path: Path) -> None:
    ring = [[7.0, 54.3], [7.001, 54.3], [7.001, 54.301], [7.0, 54.3]]
    field = {"type": "Feature", "properties": {"name": "Kuhle"}, "geometry": {"type": "Polygon", "coordinates": [ring]}}
    path = tmp_path / "fields.geojson"
    path.write_text(json.dumps({"type": "FeatureCollection", "features": [field]}))
    report = api.check(path)
    assert (report.version, report.findings) == (None, ())
