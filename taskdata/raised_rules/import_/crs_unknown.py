"""Nobody can tell what the coordinates of a layer are in.

What it checks
    That the coordinate reference system of every layer is known.
Why it matters
    Numbers that are not degrees have no position without their system; the layer is not in the result.
Example
    A folder of four shapefiles in UTM, one of them without its .prj.
How to fix
    Copy the .prj too, name the system with --crs, or use the guess, if there is one, with --accept-guess.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="import.crs-unknown",
    severity=Severity.ERROR,
    message="The coordinate reference system of {layer} is unknown; it is left out ({reason}).",
    remedy="Copy its .prj too, name the system with [[crs=EPSG:<code>]], or use the guess, if there is one, with "
    "[[accept_guess]].",
)
