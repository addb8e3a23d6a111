"""Lines of another program become guidance lines.

What it checks
    Whether lines, or points with a heading, in a layer that another program wrote become guidance lines.
Why it matters
    They steer machines. A line that was drawn for something else, or in another system of coordinates, leads a machine
    where it must not go.
Example
    A shapefile with tracks, whose lines have two points each.
How to fix
    Compare the lines with what the machine had, and drive the first pass by eye. If they are not guidance lines, say
    what they are with --role.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="import.lines-steer",
    severity=Severity.NOTE,
    message="Guidance lines made of {layer}: {count}, because {reason}. They steer machines.",
    remedy="Drive the first pass by eye; if they are something else, say so with [[roles]].",
)
