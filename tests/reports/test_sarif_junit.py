"""SARIF against its published schema, JUnit XML by its parts."""

from __future__ import annotations

import json
from pathlib import Path

import jsonschema
import pytest
from lxml import etree

from taskdata import api
from taskdata.checks.baseline import baseline_document, read_baseline, without_accepted
from taskdata.errors import UsageError
from taskdata.findings import Severity
from taskdata.reports.check_junit import junit_text
from taskdata.reports.check_sarif import sarif_document
from tests import samples

# The schema of SARIF 2.1.0 as published by OASIS (rtm.5).
SCHEMA = json.loads((Path(__file__).parent / "published" / "sarif-2.1.0.schema.json").read_text(encoding="utf-8"))


@pytest.mark.parametrize("path", [*samples.SOUND, samples.BROKEN], ids=lambda path: path.parent.name)
def test_sarif_obeys_its_schema_and_holds_every_finding(path: Path) -> None:
    report = api.check(path)
    document = sarif_document([report], api.rules(), "0.1.0")
    jsonschema.Draft4Validator(SCHEMA).validate(document)
    (run,) = document["runs"]
    assert [item["ruleId"] for item in run["results"]] == [item.rule.id for item in report.findings]
    for rule in run["tool"]["driver"]["rules"]:
        assert "What it checks" in rule["fullDescription"]["text"] or rule["id"].startswith("import.")
    for item in run["results"]:
        assert run["tool"]["driver"]["rules"][item["ruleIndex"]]["id"] == item["ruleId"]
    lines = [item["locations"][0]["physicalLocation"].get("region", {}).get("startLine") for item in run["results"]]
    assert [line for line in lines if line] == [item.place.line for item in report.findings if item.place.line]


def test_junit_has_a_case_for_each_rule() -> None:
    report = api.check(samples.BROKEN)
    root = etree.fromstring(junit_text([report], Severity.ERROR).encode())
    (suite,) = root
    failed = {case.get("name") for case in suite if case.find("failure") is not None}
    assert failed == {item.rule.id for item in report.findings if item.severity is Severity.ERROR}
    assert suite.get("failures") == str(len(failed))
    assert {case.get("name") for case in suite} == {rule.id for rule in report.applied}
    mild = {case.get("name") for case in suite if case.find("system-out") is not None}
    assert mild == {item.rule.id for item in report.findings if item.severity is not Severity.ERROR}


def test_accepted_findings_are_left_out_as_often_as_they_were_accepted(tmp_path: Path) -> None:
    found = list(api.check(samples.BROKEN, max_per_rule=0).findings)
    (tmp_path / "known.json").write_text(json.dumps(baseline_document(found[1:])), encoding="utf-8")
    accepted = read_baseline(tmp_path / "known.json")
    assert without_accepted(found, accepted) == found[:1]
    assert without_accepted([*found, found[3]], accepted) == [found[0], found[3]]


@pytest.mark.parametrize("text", ["", "[]", '{"form": "other"}', '{"form": "taskdata baseline 1", "accepted": [1]}'])
def test_a_file_that_is_no_baseline_is_refused_in_one_line(text: str, tmp_path: Path) -> None:
    (tmp_path / "b.json").write_text(text, encoding="utf-8")
    with pytest.raises(UsageError, match="known findings"):
        read_baseline(tmp_path / "b.json")
