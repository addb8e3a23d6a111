"""A total of a task is less in a later time.

What it checks
    That the totals which a time (TIM) of a task holds are not less than those of an earlier one, for the same quantity
    and device element. Which DDIs are totals of a task is mostly from memory. Planned times, and times whose order is
    not clear, are left out.
Why it matters
    Totals run on from time to time, so the newest one is taken for the result: it is too small.
Example
    Bad: 0074 is 59423 in the time of the morning and 12000 in that of the afternoon.
    Good: 59423 in the morning and 71423 in the afternoon.
How to fix
    If the counter restarted with each time, enter the sum of the values.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import spoken
from taskdata.checks.subject import Subject
from taskdata.checks.time._times import worked
from taskdata.checks.time._values import in_time
from taskdata.findings import Finding, Rule, Severity
from taskdata.quantities.dictionary import entry
from taskdata.quantities.plausible import shown

RULE = Rule(
    id="time.falling-total",
    severity=Severity.WARNING,
    message="{name} of {target} in {element} falls from {other} in the time at {at} to {value} in a later one.",
    remedy="If the counter restarted with each time, enter the sum of the values.",
    clause="6.8.3",
)
TOTAL = "total"


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each value that is less than the one before it."""
    for task in subject.tagged("TSK"):
        times = list(worked(task))
        if len({item.start.tzinfo is None for item in times}) > 1:
            continue
        before: dict[tuple[int, str], tuple[int, str | None]] = {}
        for time in sorted(times, key=lambda item: item.start):
            for _, value, ddi, raw in in_time(task, time.element):
                key = ddi, value.get("DeviceElementIdRef") or "no element"
                earlier, at = before.get(key, (raw, None))
                if entry(ddi).kind == TOTAL and raw < earlier:
                    facts = {"target": key[1], "other": shown(earlier, ddi), "at": at, "value": shown(raw, ddi)}
                    name = entry(ddi).plain_name
                    yield RULE.at(subject.place(value), severity=None, name=name, element=spoken(task), **facts)
                before[key] = raw, time.element.get("Start")
