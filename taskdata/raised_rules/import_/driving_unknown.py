"""In which order or direction passes were driven is not known.

What it checks
    That coverage has times, numbers or rows in the order of driving, or headings.
Why it matters
    Track, width and worked area are known without them. The order of the passes and the direction of each are not, and
    neither are the time that the work took and the turns.
Example
    Polygons of coverage in any order, without a column of times.
How to fix
    Export the coverage with times, if the display can.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="import.driving-unknown",
    severity=Severity.NOTE,
    message="Nothing tells {what} of {layer}.",
    remedy="Export the coverage with times, if the display can.",
)
