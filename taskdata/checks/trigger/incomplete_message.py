"""A value from a network message is not fully named.

What it checks
    That a log trigger (DLT) or log value (DLV) with the DDI DFFE gives group number (PGN), first and last bit, and
    that no other DDI gives one of them. Headers of time logs are included.
Why it matters
    With one of the three missing nobody knows which bits of which message to log, or what was logged. With another
    DDI it is not clear which of the two is meant.
Example
    Bad: <DLT A="DFFE" B="1" D="1000" J="61444"/>
    Good: <DLT A="DFFE" B="1" D="1000" J="61444" K="24" L="39"/>
How to fix
    Add what is missing, or remove all three if the DDI names the value.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.device._described import MESSAGE
from taskdata.checks.subject import Subject
from taskdata.checks.trigger._messages import DDIS, FIRST, LAST, PGN, carriers
from taskdata.findings import Finding, Rule, Severity
from taskdata.phrases import phrase
from taskdata.quantities.dictionary import ddi_number

RULE = Rule(
    id="trigger.incomplete-message",
    severity=Severity.ERROR,
    message="{tag} with DDI {value} {what}.",
    remedy="Add what is missing, or remove all three if the DDI names the value.",
    clause="6.3, D.17, D.18",
    covers=("R-130",),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each trigger or value with too little or too much."""
    for element in carriers(subject):
        text = element.get(DDIS[element.tag]) or ""
        ddi = ddi_number(text.strip())
        given = [name for name in (PGN, FIRST, LAST) if element.get(name) is not None]
        missing = [name for name in (PGN, FIRST, LAST) if name not in given]
        what = None
        if ddi == MESSAGE and missing:
            what = phrase("lacks {missing}", missing=", ".join(missing))
        elif ddi is not None and ddi != MESSAGE and given:
            what = phrase("gives {given}, which only DFFE does", given=", ".join(given))
        if what is not None:
            yield RULE.at(subject.place(element), tag=element.tag, value=text, what=what)
