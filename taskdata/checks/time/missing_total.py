"""The newest time of a task lacks a total that an earlier one holds.

What it checks
    That the time (TIM) of a task which began last holds every total of the task that an earlier time holds. Which DDIs
    are totals of a task is mostly from memory. Planned times, and times whose order is not clear, are left out.
Why it matters
    Totals run on from time to time, so the newest one is the result. Where it is missing, a program states no area or
    amount, or an old one.
Example
    Bad: the first <TIM ...> holds 0074 and 0050, the second only 0074.
    Good: both hold both.
How to fix
    Use the total of the latest time that has it, or of the log.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import spoken
from taskdata.checks.device._devices import label
from taskdata.checks.subject import Subject
from taskdata.checks.time._times import Worked, worked
from taskdata.findings import Finding, Rule, Severity
from taskdata.quantities.dictionary import ddi_number, entry

RULE = Rule(
    id="time.missing-total",
    severity=Severity.WARNING,
    message="The newest time of {element} lacks the total {value} of {target}, which an earlier one holds.",
    remedy="Use the total of the latest time that has it, or of the log.",
    clause="6.8.3",
    covers=("R-137",),
)
TOTAL = "total"


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each total that the newest time lacks."""
    for task in subject.tagged("TSK"):
        times = list(worked(task))
        if len(times) < 2 or len({item.start.tzinfo is None for item in times}) > 1:
            continue
        newest = max(times, key=lambda item: item.start)
        held = _totals(newest)
        missing = {key: None for item in times for key in _totals(item) if key not in held}
        for ddi, target in missing:
            place = subject.place(newest.element)
            yield RULE.at(place, element=spoken(task), value=label(ddi), target=target)


def _totals(time: Worked) -> dict[tuple[int, str], None]:
    """Return quantity and device element of each total in a time, in order."""
    found: dict[tuple[int, str], None] = {}
    for value in time.element.elements("DLV"):
        ddi = ddi_number((value.get("ProcessDataDDI") or "").strip())
        if ddi is not None and entry(ddi).kind == TOTAL:
            found[ddi, value.get("DeviceElementIdRef") or "no element"] = None
    return found
