"""Every rule has a good and a bad sample set; each yields exactly its findings, and nothing else."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from taskdata import api
from taskdata.checks.catalogue import catalogue

FOLDER = Path(__file__).parent.parent / "rules"
SETS = sorted(path for path in FOLDER.glob("*/*") if path.is_dir())
# Rules without a set of their own, and where they are tested instead.
ELSEWHERE = {
    "internal.rule-failed": "tests/checks/test_run.py: no data makes a rule fail on purpose",
    "schema.not-valid": "tests/isoxml: words of last resort, for what no known fault explains",
    "volume.too-many": "tests/checks/test_volume.py: more than 20000 elements, made on the spot",
    "volume.too-many-of-type": "tests/checks/test_volume.py: more than 2000 elements, made on the spot",
    "geometry.many-points": "tests/checks/test_audit.py: more than 20000 points, made on the spot",
    "file.same-name-in-other-case": "tests/checks/test_volume.py: a disk that does not tell capitals cannot hold it",
    "file.cut-off": "tests/isoxml/test_rescue.py: only where a file is rescued on demand",
    "file.link-outside": "tests/isoxml/test_source.py: not every disk can hold a link",
    "model.missing-identifier": "an audit says schema.missing-attribute or schema.invalid-value at the same place",
    "model.unknown-code": "an audit says schema.invalid-value at the same place",
    "model.unreadable-number": "an audit says schema.invalid-value at the same place",
}


def ids() -> set[str]:
    """The rules of the audit; those on layers of other programs and on field work are tested with what applies them."""
    return {rule.id for rule in catalogue()}


def receiver_for(folder: Path) -> Path | None:
    """The profile beside a sample: its own, or that of all samples of the rule; only rules on a receiver have one."""
    beside = (folder.with_suffix(".toml"), folder.parent / "receiver.toml")
    return next((path for path in beside if path.exists()), None)


@pytest.mark.parametrize("folder", SETS, ids=lambda folder: f"{folder.parent.name}-{folder.name}")
def test_a_sample_yields_exactly_its_findings(folder: Path) -> None:
    expected = json.loads((folder.parent / "expected.json").read_text()).get(folder.name, [])
    report = api.check(folder, receiver=receiver_for(folder))
    found = [
        {"rule": item.rule.id, "file": item.place.file, "line": item.place.line, "element": item.place.element}
        for item in report.findings
    ]
    severities = {item.rule.id: str(item.severity) for item in report.findings}
    for item in expected:  # a severity is stated where a rule gives more than one
        assert item.pop("severity", severities.get(item["rule"])) == severities.get(item["rule"])
    assert sorted(found, key=str) == sorted(expected, key=str)


@pytest.mark.parametrize("rule", sorted(ids() - set(ELSEWHERE)))
def test_each_rule_has_samples(rule: str) -> None:
    names = {path.name.partition("-")[0] for path in (FOLDER / rule).iterdir() if path.is_dir()}
    assert names == {"good", "bad"}
    for case in json.loads((FOLDER / rule / "expected.json").read_text()).values():
        assert rule in {item["rule"] for item in case}


def test_no_sample_lacks_a_rule() -> None:
    assert {path.name for path in FOLDER.iterdir()} <= ids()
    assert set(ELSEWHERE) <= ids()
