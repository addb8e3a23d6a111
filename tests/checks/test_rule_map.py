"""The map from the 268 numbers of the standard's rules to what takes care of each of them.

``rule_map/<section>.csv`` holds a row for every number: ``rule`` (ids of the rules, separated by blanks), ``reader``
(the number binds the program, such as its reader, its comparison of two sets or its change of the version, and not the
file; tests that show it, as file::name), ``none`` (no program can check it). What each number stands for, and why a
program cannot check it, stands in ``taskdata/data/requirements.csv``.
"""

from __future__ import annotations

import ast
import csv
import re
from collections import Counter
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import pytest

from taskdata import api
from taskdata.checks.requirements import requirements

FOLDER = Path(__file__).parent / "rule_map"
PROJECT = FOLDER.parents[2]
KINDS = {"rule", "reader", "none"}
# First and last number of each section of the list.
SECTIONS = {
    1: (1, 18),
    2: (19, 28),
    3: (29, 35),
    4: (36, 46),
    5: (47, 53),
    6: (54, 66),
    7: (67, 90),
    8: (91, 108),
    9: (109, 147),
    10: (148, 166),
    11: (167, 190),
    12: (191, 205),
    13: (206, 217),
    14: (218, 232),
    15: (233, 256),
    16: (257, 268),
}


@dataclass(frozen=True)
class Row:
    number: str
    kind: str
    what: str


def rows(section: int) -> list[Row]:
    path = FOLDER / f"{section}.csv"
    with path.open(encoding="utf-8", newline="") as stream:
        return [Row(**line) for line in csv.DictReader(stream)]


@cache
def whole() -> dict[str, Row]:
    return {row.number: row for section in SECTIONS for row in rows(section)}


def named(numbers: tuple[int, int]) -> list[str]:
    return [f"R-{number:03}" for number in range(numbers[0], numbers[1] + 1)]


@cache
def names_in(file: str) -> frozenset[str]:
    tree = ast.parse((PROJECT / file).read_text(encoding="utf-8"))
    return frozenset(node.name for node in tree.body if isinstance(node, ast.FunctionDef))


def test_the_sections_make_up_the_whole_list() -> None:
    assert [number for limits in SECTIONS.values() for number in named(limits)] == named((1, 268))
    assert {path.name for path in FOLDER.iterdir()} == {f"{section}.csv" for section in SECTIONS}


@pytest.mark.parametrize("section", SECTIONS)
def test_each_number_of_a_section_has_one_row(section: int) -> None:
    assert [row.number for row in rows(section)] == named(SECTIONS[section])
    assert {row.kind for row in rows(section)} <= KINDS
    assert all(bool(row.what.strip()) == (row.kind != "none") for row in rows(section))


@pytest.mark.parametrize("section", SECTIONS)
def test_rules_that_a_row_names_exist_and_cover_its_number(section: int) -> None:
    covers = {rule.id: rule.covers for rule in api.rules()}
    for row in rows(section):
        if row.kind == "rule":
            ids = row.what.split()
            assert [name for name, count in Counter(ids).items() if count > 1] == [], row.number
            assert [name for name in ids if row.number not in covers.get(name, ())] == [], row.number


@pytest.mark.parametrize("section", SECTIONS)
def test_tests_that_a_row_names_exist(section: int) -> None:
    for row in rows(section):
        if row.kind == "reader":
            for test in row.what.split():
                file, _, name = test.partition("::")
                assert name in names_in(file), row.number


@pytest.mark.parametrize("section", SECTIONS)
def test_each_number_is_explained_in_a_sentence_and_why_no_rule_looks_at_it(section: int) -> None:
    for row in rows(section):
        item = requirements()[row.number]
        assert re.fullmatch(r"[A-Z].*\w\)?\.", item.text), row.number
        assert len(item.text.split()) > 4, row.number
        assert re.match(r"[A-G]\b|\d+\.\d+|\d+\.\d|\w\.\d", item.clause), row.number
        assert bool(item.instead) == (row.kind != "rule"), row.number
        assert row.kind != "none" or len(item.instead.split()) > 4, row.number


def test_every_number_has_a_sentence_of_its_own() -> None:
    assert list(requirements()) == named((1, 268))
    assert len({item.text for item in requirements().values()}) == 268
    assert len({item.topic for item in requirements().values()}) == len(SECTIONS)


def test_what_rules_cover_is_in_the_map() -> None:
    missing = [
        (rule.id, number)
        for rule in api.rules()
        for number in rule.covers
        if number not in whole() or whole()[number].kind != "rule" or rule.id not in whole()[number].what.split()
    ]
    assert missing == []
