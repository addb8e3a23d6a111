"""Falsify what findings say, one thing at a time, and count the changes that no sample sees; not part of the gate.

``python -m tests.checks.falsified`` alters in every finding of every bad sample each fact that its words name,
exchanges two of them where that changes a word, alters message, remedy, severity and each part of the place, and
compares the result with ``expected.json``.
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Iterator
from dataclasses import fields, replace
from itertools import combinations
from pathlib import Path
from string import Formatter
from typing import Any

from taskdata import api
from taskdata.checks.catalogue import audited
from taskdata.findings import Fact, Finding, Place, Severity
from taskdata.reports import words
from tests.checks.expected import FOLDER, expected, receiver_for, row


def altered(value: Fact) -> Fact:
    """Another value of the same kind."""
    if isinstance(value, int | float):
        return value + 1
    return f"{value}x"


def falsehoods(finding: Finding) -> Iterator[tuple[str, Finding]]:
    """Yield what is falsified, and the finding with this one thing wrong."""
    facts = dict(finding.facts)
    texts = (finding.rule.message, finding.rule.remedy)
    named = {name for text in texts for _, name, _, _ in Formatter().parse(text)} & set(facts)
    for name in sorted(named):
        yield f"fact {name}", replace(finding, facts=facts | {name: altered(facts[name])})
    for one, two in combinations(sorted(named), 2):
        swapped = replace(finding, facts=facts | {one: facts[two], two: facts[one]})
        if words.message(swapped) != words.message(finding) or words.remedy(swapped) != words.remedy(finding):
            yield f"exchange {one}, {two}", swapped
    for name in ("message", "remedy"):
        yield name, replace(finding, rule=replace(finding.rule, **{name: f"Not so: {getattr(finding.rule, name)}"}))
    other = next(item for item in Severity if item is not finding.severity)
    yield "severity", replace(finding, severity=other)
    for field in fields(Place):
        value: Any = getattr(finding.place, field.name)
        if value is not None and field.name not in {"path", "offset"}:  # the row of a sample states neither
            wrong = (value[0] + 1.0, value[1]) if field.name == "location" else altered(value)
            yield f"place {field.name}", replace(finding, place=replace(finding.place, **{field.name: wrong}))


def unseen(folder: Path) -> Iterator[tuple[str, str, bool]]:
    """Yield rule, what was falsified, and whether the sample sees it."""
    findings = list(api.check(folder, receiver=receiver_for(folder), max_per_rule=0).findings)
    wanted = expected(folder)
    rows = [row(finding, folder) for finding in findings]
    for at, finding in enumerate(findings):
        for what, wrong in falsehoods(finding):
            told = [*rows[:at], row(wrong, folder), *rows[at + 1 :]]
            yield finding.rule.id, what, sorted(told, key=str) != wanted


def main() -> None:
    """Print how many falsehoods there were, which were not seen, and the rules that no sample shows."""
    counts: Counter[bool] = Counter()
    missed: set[tuple[str, str]] = set()
    shown: set[str] = set()
    for folder in sorted(path for path in FOLDER.glob("*/bad*") if path.is_dir()):
        for rule, what, seen in unseen(folder):
            counts[seen] += 1
            shown.add(rule)
            missed |= set() if seen else {(rule, what)}
    lines = [f"Falsified: {counts.total()}, in {len(shown)} rules; not seen: {counts[False]}."]
    lines += [f"  {rule}: {what}" for rule, what in sorted(missed)]
    lines.append(f"Without a sample: {', '.join(sorted({rule.id for rule in audited()} - shown))}.")
    sys.stdout.write("\n".join([*lines, ""]))


if __name__ == "__main__":
    main()
