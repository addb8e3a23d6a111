"""The order of repairs follows from what they need, and no attribute is set that the standard does not know."""

from __future__ import annotations

import pytest

from taskdata.checks.catalogue import catalogue
from taskdata.isoxml.facts import elements
from taskdata.repairs.attributes import ATTRIBUTE_REPAIRS
from taskdata.repairs.order import in_order
from taskdata.repairs.registry import repairs


def test_each_repair_stands_behind_what_it_needs() -> None:
    names = [item.name for item in repairs()]
    assert len(set(names)) == len(names)
    for item in repairs():
        for need in item.needs:
            before = [
                other.name
                for other in repairs()
                if other is not item
                and (other.name == need or any(need in {rule, rule.partition(".")[0]} for rule in other.rules))
            ]
            assert before, (item.name, need)
            assert all(names.index(name) < names.index(item.name) for name in before)


def test_repairs_without_needs_come_first_and_each_step_is_by_name() -> None:
    silenced = {"c": ("x.one",), "b": ("x.two",), "a": ("y.one",), "d": ("z.one",)}
    assert in_order(silenced, {"a": ("x",), "b": (), "c": (), "d": ("y.one", "b")}) == ["b", "c", "a", "d"]
    assert in_order(silenced, {"a": ("y",), "b": (), "c": (), "d": ()}) == ["a", "b", "c", "d"]


@pytest.mark.parametrize(
    ("needs", "told"),
    [
        ({"a": ("b",), "b": ("y.one",)}, "need each other in a circle: a, b"),
        ({"a": ("w",), "b": ()}, "a needs w, which is nothing that a repair silences"),
    ],
)
def test_a_circle_and_a_need_of_nothing_are_refused(needs: dict[str, tuple[str, ...]], told: str) -> None:
    with pytest.raises(ValueError, match=told):
        in_order({"a": ("y.one",), "b": ("x.two",)}, needs)


def test_the_table_names_rules_and_attributes_that_there_are() -> None:
    known = {rule.id: rule for rule in catalogue()}
    names = {fact.name for element in elements().values() for fact in element.attributes.values()}
    for row in ATTRIBUTE_REPAIRS:
        facts = known[row.rule].message + known[row.rule].remedy
        assert row.attribute in names or row.attribute in facts
        assert row.reason
    assert [row.rule for row in ATTRIBUTE_REPAIRS] == sorted(row.rule for row in ATTRIBUTE_REPAIRS)
