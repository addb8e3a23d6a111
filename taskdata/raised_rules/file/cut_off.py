"""An XML file ends too early or is damaged.

What it checks
    Whether an XML file ends too early or is damaged. With --rescue everything before the fault is read; a ring of a
    polygon in which the cut lies is left out, since half of it would be another outline.
Why it matters
    Everything behind the cut is missing: fields, tasks, logs. The element in which the cut lies is incomplete: a hole
    of its field, and with it an obstacle, may be among what is lost.
Example
    A main file of which the stick kept the first 60 %, so that it ends in the middle of a field.
How to fix
    Copy the file again from the original. Use what was rescued only where the whole file is gone for good.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="file.cut-off",
    severity=Severity.ERROR,
    message=(
        "{file} is cut off or damaged at line {line} ({reason}): the first {octets} of its {size} bytes were read. "
        "They hold: {what}."
    ),
    remedy="Copy the file again from the original; until then everything after the cut is missing.",
    clause="8.2-8.3",
    covers=("R-006",),
)
