"""The delay of a commanded value is negative.

What it checks
    That the setpoint time latency (DDI 008E) is not negative, as property of a device (DPT), in a task (PDV) and as
    constant of a log (DLV). The delay of actual values (008F) may be. Older copies of the data dictionary allow
    negative values for both.
Why it matters
    No machine acts before it is told. A terminal that takes the value at its word switches and doses at the wrong
    place.
Example
    Bad: <DPT A="30" B="008E" C="-200"/>
    Good: <DPT A="30" B="008E" C="200"/>
How to fix
    Measure the delay of the machine and enter it as a positive number of milliseconds.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import integer
from taskdata.checks.device._devices import label
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.quantities.dictionary import ddi_number

RULE = Rule(
    id="device.negative-latency",
    severity=Severity.WARNING,
    message="{what} is {value} ms; it cannot be negative.",
    remedy="Enter the delay of the machine as a positive number of milliseconds.",
    clause="F.3.4",
    covers=("R-232",),
)
LATENCY = 142
NAMES = {
    "DPT": ("DevicePropertyDDI", "DevicePropertyValue"),
    "PDV": ("ProcessDataDDI", "ProcessDataValue"),
    "DLV": ("ProcessDataDDI", "ProcessDataValue"),
}


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each negative latency."""
    for tag, (ddi, number) in NAMES.items():
        for element in subject.tagged(tag):
            if ddi_number(element.get(ddi) or "") == LATENCY:
                value = integer(element, number)
                if value is not None and value < 0:
                    yield RULE.at(subject.place(element), what=label(LATENCY), value=value)
