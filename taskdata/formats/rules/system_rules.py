"""What may be wrong in the way from a layer's coordinate reference system to WGS 84."""

from __future__ import annotations

from taskdata.findings import Rule, Severity

_OUTSIDE_AREA = """\
What it checks
    The rows of a layer lie in the area that its coordinate reference system is made for.
Why it matters
    Beyond it the change of datum is not certain and the projection is stretched. More often the layer states the wrong
    system, or its coordinates are swapped, and all of it lies in the wrong place.
Example
    A layer in Germany that says EPSG:32633 where its numbers are in EPSG:32632.
How to fix
    Look where the rows lie. Where the system is wrong, correct it and convert again; check the first pass by eye.
"""

OUTSIDE_AREA = Rule(
    id="import.outside-area-of-use",
    severity=Severity.WARNING,
    message=(
        "{rows} of {layer} lie outside the area of use of {crs} ({area}), such as row {row}; transformed to WGS 84 by "
        "{operation} (accuracy {accuracy}) nevertheless."
    ),
    remedy="Check that the layer states the right system; check the first pass by eye.",
    clause="ISO 19111, domain of validity",
    about=_OUTSIDE_AREA,
)

_ACCURACY_UNKNOWN = """\
What it checks
    It is known how exact the way from the layer's datum to WGS 84 is.
Why it matters
    The change of datum was left out, since none is known. Everything may lie off by some hundred metres, and a guidance
    line too.
Example
    A system with an ellipsoid of its own and no name.
How to fix
    Save the layer in WGS 84 with the program it comes from. Check the first pass by eye.
"""

ACCURACY_UNKNOWN = Rule(
    id="import.accuracy-unknown",
    severity=Severity.WARNING,
    message="{layer} was brought to WGS 84 by {operation}, whose accuracy is unknown.",
    remedy="Save the layer in WGS 84 in the program it comes from; check the first pass by eye.",
    about=_ACCURACY_UNKNOWN,
)

RULES = (OUTSIDE_AREA, ACCURACY_UNKNOWN)
"""Every rule of this module."""
