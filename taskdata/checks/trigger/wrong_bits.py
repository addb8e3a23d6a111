"""The bits of a value from a network message are in the wrong order or too many.

What it checks
    That the first bit of a log trigger (DLT) or log value (DLV) is not above the last one, and that from the first to
    the last there are at most 32 bits, since a log stores 32. Headers of time logs are included. Partly judged.
Why it matters
    The value cannot be cut out of the message, or loses its upper bits; what is logged is a wrong number.
Example
    Bad: <DLT A="DFFE" B="1" D="1000" J="61444" K="39" L="24"/>
    Good: K="24" L="39"
How to fix
    Swap the two, or log the value in two parts.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import integer
from taskdata.checks.subject import Subject
from taskdata.checks.trigger._messages import FIRST, LAST, carriers
from taskdata.findings import Finding, Rule, Severity
from taskdata.phrases import phrase

RULE = Rule(
    id="trigger.wrong-bits",
    severity=Severity.ERROR,
    message="The bits {value} of a network message are {what}.",
    remedy="Swap the two, or log the value in two parts.",
    clause="6.3",
    covers=("R-131",),
)
MOST_BITS = 32


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each trigger or value with such bits."""
    for element in carriers(subject):
        first, last = integer(element, FIRST), integer(element, LAST)
        if first is None or last is None:
            continue
        if first > last:
            yield RULE.at(
                subject.place(element),
                value=phrase("{first} to {last}", first=first, last=last),
                what=phrase("in the wrong order"),
            )
        elif last - first >= MOST_BITS:
            what = phrase("more than {most_bits}", most_bits=MOST_BITS)
            yield RULE.at(subject.place(element), value=phrase("{first} to {last}", first=first, last=last), what=what)
