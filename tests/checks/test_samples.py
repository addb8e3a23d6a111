"""Every rule has a good and a bad sample set; each yields exactly its findings, and nothing else."""

from __future__ import annotations

from pathlib import Path

import pytest

from taskdata.checks.catalogue import audited
from tests.checks.expected import FOLDER, expected, found

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
    return {rule.id for rule in audited()}


@pytest.mark.parametrize("folder", SETS, ids=lambda folder: f"{folder.parent.name}-{folder.name}")
def test_a_sample_yields_exactly_its_findings(folder: Path) -> None:
    """Rule, severity, place, and the whole message and remedy with every number in them."""
    assert found(folder) == expected(folder)


def test_each_rule_has_samples() -> None:
    names = {rule: folders(rule) for rule in ids() - set(ELSEWHERE)}
    kinds = {rule: {path.name.partition("-")[0] for path in paths} for rule, paths in names.items()}
    assert {rule: found for rule, found in kinds.items() if found != {"good", "bad"}} == {}
    told = [
        (path, rule in {item["rule"] for item in expected(path)}) for rule, paths in names.items() for path in paths
    ]
    assert [str(path) for path, found in told if found != path.name.startswith("bad")] == []


def folders(rule: str) -> list[Path]:
    """The samples of a rule, none where it has no folder."""
    return [path for path in FOLDER.joinpath(rule).glob("*") if path.is_dir()]


def test_no_sample_lacks_a_rule() -> None:
    assert {path.name for path in FOLDER.iterdir()} <= ids()
    assert set(ELSEWHERE) <= ids()
