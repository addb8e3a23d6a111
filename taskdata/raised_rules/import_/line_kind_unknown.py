"""Lines of another program do not say what they are.

What it checks
    Whether a line that is no guidance line says what it is: in a column of kinds, or by the name of its layer.
Why it matters
    A line string of the standard has a type: a tram line, a sampling route, a drain, a fence, a flag or an obstacle
    (ISO 11783-10, D.33). A line that says none of these becomes a flag, and a terminal may show it as one.
Example
    A KML file with a folder "Sketches" that holds three lines.
How to fix
    Name the layer for what it holds, such as "fences", or add a column "kind" with a word for each line.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="import.line-kind-unknown",
    severity=Severity.NOTE,
    message="Lines of {layer} that do not say what they are become flags, for lack of another kind: {count}.",
    remedy="Name the layer for what it holds, such as fences, or add a column kind.",
)
