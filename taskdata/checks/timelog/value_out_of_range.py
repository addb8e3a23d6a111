"""A log holds a value outside the range of its quantity.

What it checks
    That the values of a time log lie in the range that the data dictionary gives their quantity, where it gives one.
    Many ranges are from memory. Values of one quantity are reported together. Masks of section states have no range.
Why it matters
    The value was not measured: it stands for an error, or the quantity is another one. In sums and maps it counts.
Example
    Bad: an applied mass (0051) of -5 kg.
    Good: 0 kg.
How to fix
    Leave these values out of sums and maps. Ask the manufacturer of the machine what they stand for.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.subject import Subject
from taskdata.checks.timelog._columns import beyond
from taskdata.findings import Finding, Rule, Severity
from taskdata.quantities.dictionary import entry
from taskdata.quantities.plausible import crossed, shown

RULE = Rule(
    id="timelog.value-out-of-range",
    severity=Severity.WARNING,
    message=(
        "{name} of {target} in {file} is {limit} in {where}, outside the range of the data dictionary; the most "
        "extreme is {value}."
    ),
    remedy="Leave these values out of sums and maps; ask the manufacturer of the machine what they mean.",
    clause="8.6.3, D.18",
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each quantity of a log with such values, at the first record."""
    for item in beyond(subject):
        if item.by_dictionary:
            bound, value = crossed(item.limits, item.value, item.ddi), shown(item.value, item.ddi)
            facts = {"limit": bound, "where": item.wrong.where, "value": value}
            name = entry(item.ddi).plain_name
            yield RULE.at(item.wrong.place, severity=None, name=name, target=item.target, file=item.file, **facts)
