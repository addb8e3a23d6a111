"""A task worked longer than its times last.

What it checks
    That effective (0077) and ineffective total time (0078) in a time (TIM) of a task are together not longer than the
    times of the task up to then, by more than a minute and two per cent. The numbers are from memory. Planned times do
    not count, and tasks whose times do not tell an end are left out.
Why it matters
    Hours are counted twice, run on from another task, or the end of a time is wrong: wages and invoices follow them.
Example
    Bad: a time from 7:00 to 8:00 with an effective total time of 5400 s.
    Good: 3000 s.
How to fix
    Compare with the diary or the log. Correct the total, or the time.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta

from taskdata.checks.coding._reading import spoken
from taskdata.checks.stamp._stamps import parse, seconds
from taskdata.checks.subject import Subject
from taskdata.checks.time._times import Worked, worked
from taskdata.checks.time._values import in_time
from taskdata.findings import Fact, Finding, Rule, Severity
from taskdata.isoxml.tree.element import Element

RULE = Rule(
    id="time.work-longer-than-time",
    severity=Severity.WARNING,
    message=(
        "By its totals, {target} worked {value} s in {element}, but the times of the task up to then last {size} s."
    ),
    remedy="Compare with the diary or the log; correct the total, or the time.",
    clause="D.48",
)
TIMES = {0x77, 0x78}
ROUNDING_S = 60.0
SHARE = 1.02


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each device element of a time with too long totals."""
    for task in subject.tagged("TSK"):
        times = list(worked(task))
        if any(not _ends(item) for item in times) or len({item.start.tzinfo is None for item in times}) > 1:
            continue
        passed = timedelta()
        for time in sorted(times, key=lambda item: item.start):
            passed += time.end - time.start
            for target, total in _totals(task, time.element).items():
                if total > passed.total_seconds() * SHARE + ROUNDING_S:
                    facts: dict[str, Fact] = {"target": target, "value": total, "size": round(passed.total_seconds())}
                    yield RULE.at(subject.place(time.element), severity=None, element=spoken(task), **facts)


def _ends(time: Worked) -> bool:
    return parse(time.element.get("Stop")) is not None or seconds(time.element) is not None


def _totals(task: Element, time: Element) -> dict[str, int]:
    """Return the time of each device element, effective and ineffective together."""
    found: dict[str, int] = {}
    for _, value, ddi, raw in in_time(task, time):
        if ddi in TIMES and raw > 0:
            target = value.get("DeviceElementIdRef") or "no element"
            found[target] = found.get(target, 0) + raw
    return found
