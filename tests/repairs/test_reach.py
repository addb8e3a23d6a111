"""What JSON says of a repair holds for the finding, not for its rule: cleaning does it, or does not."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest

from taskdata import api
from taskdata.exchange.cleaning import clean_set
from tests import samples

RULES = Path(__file__).parents[1] / "rules"


@pytest.mark.parametrize(
    ("folder", "repairs"),
    [
        ("file.wrong-length/bad", ["safe"]),
        ("file.wrong-length/bad-shorter", [None]),
        ("reference.dangling/bad", ["review"]),
        ("reference.dangling/bad-missing-file", [None, None]),
        ("field.wrong-area/bad", [None]),
        ("field.wrong-area/bad-slightly", ["review"]),
        ("schema.other-notation/bad", ["safe", "safe"]),
        ("schema.missing-attribute/bad", [None]),
        ("timelog.trailing-bytes/bad-zeros", ["review"]),
        ("file.zeros-behind-end/bad", ["safe"]),
    ],
)
def test_a_repair_is_that_of_the_finding(folder: str, repairs: list[str | None]) -> None:
    report = api.check(RULES / folder, repairs=True)
    assert [None if item is None else str(item) for item in report.repairs] == repairs


def test_what_is_said_to_be_repaired_is_gone_after_cleaning(tmp_path: Path) -> None:
    report = api.check(samples.BROKEN, max_per_rule=0, repairs=True)
    said = Counter(str(repair) for repair in report.repairs)
    assert {"safe", "review", "None"} == set(said)
    for repair, review in (("safe", False), ("review", True)):
        done = clean_set(samples.BROKEN, tmp_path / repair, review=review)
        left = Counter(item.rule.id for item in done.left)
        before = Counter(item.rule.id for item in report.findings)
        promised = Counter(
            item.rule.id
            for item, found in zip(report.findings, report.repairs, strict=True)
            if found is not None and (review or str(found) == "safe")
        )
        assert {rule for rule, count in promised.items() if left[rule] > before[rule] - count} == set()


def test_what_is_left_by_safe_repairs_tells_what_review_would_do(tmp_path: Path) -> None:
    done = clean_set(samples.BROKEN, tmp_path / "s")
    assert len(done.repairs) == len(done.left)
    assert "safe" not in set(map(str, done.repairs))
    assert "review" in set(map(str, done.repairs))
