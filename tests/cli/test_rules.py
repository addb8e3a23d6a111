"""``taskdata rules``: the catalogue, a family, one rule."""

from __future__ import annotations

import json
from collections.abc import Callable

from taskdata import api
from taskdata.reports.rules_pages import rule_page


def test_the_list_holds_every_rule(run: Callable) -> None:
    result = run("rules")
    assert result.code == 0
    assert all(f"{rule.id}  ({rule.severity})" in result.out for rule in api.rules())
    assert max(map(len, result.out.splitlines())) <= 80


def test_one_rule_is_explained(run: Callable) -> None:
    out = run("rules", "reference.dangling").out
    for words in ("Clause:    8.4", "What it checks", "Why it matters", "Bad: ", "Good: ", "How to fix", "To do: "):
        assert words in out


def test_pages_fit_80_columns_and_leave_no_word_out() -> None:
    pages = {rule: [line.text for line in rule_page(rule)] for rule in api.rules()}
    wide = [line for lines in pages.values() for line in lines if len(line) > 80 and " " in line.strip()]
    assert wide == []
    flat = {rule: " ".join(" ".join(lines).split()) for rule, lines in pages.items()}
    assert [rule.id for rule, text in flat.items() if " ".join(rule.about.split()) not in text] == []


def test_a_family_is_listed(run: Callable) -> None:
    document = json.loads(run("rules", "reference", "--json").out)
    assert [item["rule"] for item in document["rules"]] == ["reference.dangling", "reference.wrong-type"]
    assert set(document["rules"][0]) == {
        *("rule", "severity", "message", "remedy", "clause", "covers", "asked"),
        *("since", "until", "added", "tolerances", "title", "page"),
    }


def test_an_unknown_rule_is_wrong_usage(run: Callable) -> None:
    result = run("rules", "nonsense")
    assert result.code == 2
    assert result.err.startswith("taskdata: nonsense: ")
