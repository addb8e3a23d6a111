"""A log holds a value that no machine has.

What it checks
    That speeds, widths, offsets, rates, yields, contents, totals and densities of a time log lie within bounds that no
    machine at work leaves. The bounds are common practice, such as 100 km/h, 100 m of width or 80,000 L/ha; the message
    states each. Values of one quantity are reported together.
Why it matters
    Most likely a unit was mistaken, the quantity is another one, or the file is damaged. In sums and maps it counts.
Example
    Bad: an actual speed (018D) of 900 km/h.
    Good: 9 km/h.
How to fix
    Compare with the display of the machine. Leave values that cannot be out of sums and maps.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.subject import Subject
from taskdata.checks.timelog._columns import beyond
from taskdata.findings import Finding, Rule, Severity
from taskdata.quantities.dictionary import entry
from taskdata.quantities.plausible import crossed, shown

RULE = Rule(
    id="timelog.unlikely-value",
    severity=Severity.WARNING,
    message="{name} of {target} in {file} is {limit} in {where}, beyond common practice; the most extreme is {value}.",
    remedy="Compare with the display of the machine; leave impossible values out of sums and maps.",
    clause="8.6.3",
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each quantity of a log with such values, at the first record."""
    for item in beyond(subject):
        if not item.by_dictionary:
            bound, value = crossed(item.limits, item.value, item.ddi), shown(item.value, item.ddi)
            facts = {"limit": bound, "where": item.wrong.where, "value": value}
            name = entry(item.ddi).plain_name
            yield RULE.at(item.wrong.place, severity=None, name=name, target=item.target, file=item.file, **facts)
