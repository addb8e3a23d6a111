"""The index of rules as a page: ``schemas/rules.md``, made by ``python -m taskdata.reports.rule_index schemas``."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Iterator, Sequence
from itertools import groupby
from pathlib import Path

from taskdata.checks.catalogue import catalogue
from taskdata.checks.requirements import requirements
from taskdata.findings import Rule
from taskdata.reports.rule_page import parse_page

FILE = "rules.md"
INTRODUCTION = """\
{count} rules: what `taskdata check` looks at, and what other commands tell. `taskdata rules RULE` explains one, with an
example and how to fix it. Errors are what the standard says must be, or what stops a job; warnings what should be, or
what rests on memory; notes are worth knowing. `import` stands for what is told of layers of other programs as they are
read, `coverage` for what is told beside the figures of field work. The last part says what
each R-number stands for; a rule without one looks beyond the standard.
"""

ASKED = """\
A sentence in words of our own for each thing that ISO 11783-10 asks beyond the single element and attribute, with the
rules that look at it; where there is none, what takes care of it, or why no program can. `judged` marks what was
concluded where the standard is silent, `memory` what was remembered. The normative text is the standard.
"""


def rule_index(rules: Iterable[Rule]) -> str:
    """Return the page: a table a family, with id, severity, clause, R-numbers and first sentence of each rule."""
    ordered = sorted(rules, key=lambda rule: rule.id)
    return "\n".join(_lines(ordered)) + "\n"


def main(arguments: Sequence[str]) -> int:
    """Write the page into a folder."""
    (folder,) = arguments or ["schemas"]
    Path(folder, FILE).write_text(rule_index(catalogue()), encoding="utf-8", newline="\n")
    return 0


def _lines(rules: Sequence[Rule]) -> Iterator[str]:
    yield "# Rules"
    yield ""
    yield "<!-- made by python -m taskdata.reports.rule_index -->"
    yield ""
    yield from INTRODUCTION.format(count=len(rules)).splitlines()
    yield from _families(rules)
    yield from _requirements(rules)


def _families(rules: Sequence[Rule]) -> Iterator[str]:
    for family, members in groupby(rules, lambda rule: rule.id.partition(".")[0]):
        yield ""
        yield f"## {family}"
        yield ""
        yield "| rule | severity | clause | R-numbers | what is wrong |"
        yield "| --- | --- | --- | --- | --- |"
        yield from map(_row, members)


def _requirements(rules: Sequence[Rule]) -> Iterator[str]:
    """Yield what each number stands for, and the rules that look at it, or what does instead."""
    yield ""
    yield "# What the standard asks"
    yield ""
    yield from ASKED.splitlines()
    for topic, members in groupby(requirements().values(), lambda item: item.topic):
        yield ""
        yield f"## {topic}"
        yield ""
        yield "| number | clause | what it asks | rules |"
        yield "| --- | --- | --- | --- |"
        for item in members:
            looking = ", ".join(f"`{rule.id}`" for rule in rules if item.number in rule.covers)
            yield _cells(item.number, item.clause, item.text, looking or item.instead)


def _cells(*cells: str) -> str:
    return f"| {' | '.join(cell.replace('|', chr(92) + '|') for cell in cells)} |"


def _row(rule: Rule) -> str:
    title = parse_page(rule.about).title
    return _cells(f"`{rule.id}`", str(rule.severity), rule.clause or "", ", ".join(rule.covers), title)


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
