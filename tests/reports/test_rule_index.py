"""The index of rules is what the code says."""

from __future__ import annotations

from taskdata.checks.catalogue import catalogue
from taskdata.checks.requirements import requirements
from taskdata.reports.rule_index import FILE, rule_index
from taskdata.resources import schema_bytes


def test_the_index_equals_the_code() -> None:
    """If it fails: python -m taskdata.reports.rule_index schemas."""
    assert schema_bytes(FILE).decode() == rule_index(catalogue())


def test_every_rule_has_one_row_with_its_numbers() -> None:
    page = rule_index(catalogue())
    rows = [line for line in page.splitlines() if line.startswith("| `")]
    assert all(f"| {number} | {item.clause} | {item.text} |" in page for number, item in requirements().items())
    assert [row.split("`")[1] for row in rows] == sorted(rule.id for rule in catalogue())
    for row, rule in zip(rows, sorted(catalogue(), key=lambda rule: rule.id), strict=True):
        assert f"| {rule.severity} |" in row
        assert all(number in row for number in rule.covers)
        assert len(row.split(" | ")) == 5
