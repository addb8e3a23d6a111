"""The accuracy of the way from a datum to WGS 84 is not known.

What it checks
    That the accuracy of the transformation from the layer's datum to WGS 84 is known.
Why it matters
    The change of datum was left out, since none is known. Everything may lie off by some hundred metres, and a guidance
    line too.
Example
    A system with an ellipsoid of its own and no name.
How to fix
    Save the layer in WGS 84 with the program it comes from. Check the first pass by eye.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="import.accuracy-unknown",
    severity=Severity.WARNING,
    message="{layer} was brought to WGS 84 by {operation}, whose accuracy is unknown.",
    remedy="Save the layer in WGS 84 in the program it comes from; check the first pass by eye.",
)
