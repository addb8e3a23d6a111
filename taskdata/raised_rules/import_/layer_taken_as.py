"""What a layer of another program holds is not certain.

What it checks
    Whether what speaks for the likeliest of several kinds leaves more than a fifth of doubt.
Why it matters
    The layer is read as what it most likely is. If it is something else, its rows end up in the wrong place.
Example
    Polygons without names that are as large as fields, and a column of numbers that may be rates.
How to fix
    Look at the result; if the layer is something else, say what it is with --role.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="import.layer-taken-as",
    severity=Severity.NOTE,
    message="{layer} is taken as {kind} (about {share} certain): {reason}.",
    remedy="If it is something else, say so with [[roles]].",
)
