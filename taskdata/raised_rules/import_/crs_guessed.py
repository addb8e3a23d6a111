"""A guessed coordinate reference system was used.

What it checks
    Whether a guessed system was used for a layer that states none, or an implausible one.
Why it matters
    The guess brings the layer to the other data of the source. What else would fit is named: another datum may move all
    of it by some metres, and a guidance line with it.
Example
    Lines without a .prj beside fields in WGS 84, read with --accept-guess.
How to fix
    Look where the layer lies on a map, and check the first pass by eye. If another system is right, name it with --crs.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="import.crs-guessed",
    severity=Severity.WARNING,
    message="{layer} was read in a guessed system, since {reason}. {guess}.",
    remedy="Look where it lies, and check the first pass by eye; if it is wrong, name the system with [[crs]].",
)
