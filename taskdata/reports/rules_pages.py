"""The rule catalogue: the list, one page a rule, the same as JSON."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from taskdata.arguments import as_option
from taskdata.checks.requirements import requirements
from taskdata.findings import Rule, Tolerance
from taskdata.reports import words
from taskdata.reports.check_text import STYLES
from taskdata.reports.rule_page import HEADINGS, parse_page
from taskdata.reports.styled import Line, wrapped


def rule_list(rules: Sequence[Rule]) -> list[Line]:
    """Return the list of rules: id, severity, and the fault in one sentence."""
    lines: list[Line] = []
    for rule in rules:
        lines.append(Line(f"{rule.id}  ({rule.severity})", STYLES[rule.severity]))
        lines += wrapped(parse_page(rule.about).title, 4)
    total = words.counted(len(rules), "rule")
    return [*lines, Line(""), Line(f"{total}. One of them explained: taskdata rules RULE", "quiet")]


def rule_page(rule: Rule) -> list[Line]:
    """Return the page of a rule."""
    known = [
        f"Clause:    {rule.clause or 'none'}",
        f"Versions:  {versions_of(rule)}",
        f"Added in:  taskdata {rule.added}",
    ]
    limits = [line for item in rule.tolerances for line in wrapped(_limit(item), 2, hanging=2)]
    if limits:
        limits = [Line(""), Line("Tolerances, which --profile may set otherwise", "heading"), *limits]
    asked = [line for number in rule.covers for line in wrapped(_asked(number), 2, hanging=2)]
    if asked:
        asked = [Line(""), Line("What the standard asks", "heading"), *asked]
    message = wrapped(f"Message: {as_option(rule.message)}", hanging=2)
    todo = wrapped(f"To do: {as_option(rule.remedy)}", hanging=2)
    title = Line(f"{rule.id}  ({rule.severity})", STYLES[rule.severity])
    return [
        title,
        *(Line(text) for text in known),
        Line(""),
        *_page(rule.about),
        *asked,
        *limits,
        Line(""),
        *message,
        *todo,
    ]


def _page(about: str) -> list[Line]:
    """Return the public page of a rule: prose filled anew, examples line by line."""
    page = parse_page(about)
    texts = (page.checks, page.matters, "", page.fix)
    lines = wrapped(page.title)
    lines.append(Line(""))
    for heading, prose in zip(HEADINGS, texts, strict=True):
        lines.append(Line(heading, "heading"))
        shown = [prose] if prose else page.example.splitlines()
        lines += [line for text in shown for line in wrapped(text, 4, hanging=0 if prose else 2)]
    return lines


def versions_of(rule: Rule) -> str:
    """Return the versions of the standard that a rule applies to, in words."""
    if rule.since is None and rule.until is None:
        return "all"
    if rule.since is None:
        return f"up to {rule.until}"
    return f"from {rule.since} on" if rule.until is None else f"{rule.since} to {rule.until}"


def _asked(number: str) -> str:
    """Return what a number stands for as a line: number, clause, sentence."""
    item = requirements()[number]
    return f"{number} ({item.clause}): {item.text}"


def _limit(tolerance: Tolerance) -> str:
    """Return a tolerance as a line: name, default, unit, meaning."""
    unit = f" {tolerance.unit}" if tolerance.unit else ""
    return f"{tolerance.name} = {tolerance.default}{unit}: {tolerance.meaning}"


def rule_document(rule: Rule) -> dict[str, Any]:
    """Return a rule as JSON: id, severity, words, clause, versions, numbers covered, title, page."""
    return {
        "rule": rule.id,
        "severity": str(rule.severity),
        "message": as_option(rule.message),
        "remedy": as_option(rule.remedy),
        "clause": rule.clause,
        "since": rule.since,
        "until": rule.until,
        "covers": list(rule.covers),
        "asked": {number: requirements()[number].text for number in rule.covers},
        "added": rule.added,
        "tolerances": [
            {"name": item.name, "default": item.default, "unit": item.unit, "meaning": item.meaning}
            for item in rule.tolerances
        ],
        "title": parse_page(rule.about).title,
        "page": rule.about.strip(),
    }
