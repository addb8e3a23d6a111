"""A correction grid for the best way to WGS 84 is not installed.

What it checks
    That the best known transformation from the layer's datum to WGS 84 can be used.
Why it matters
    A less accurate one was used; everything may lie off by its stated accuracy, and a guidance line too.
Example
    A layer in an old national system, whose grid of corrections is not installed: 3 m instead of 1 m.
How to fix
    Install the named grid for PROJ, or save the layer in WGS 84 with the program it comes from. Check the first pass
    by eye.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="import.grid-missing",
    severity=Severity.WARNING,
    message="{layer} was transformed to WGS 84 by {operation} (accuracy {accuracy}); a better transformation "
    "needs {grids}.",
    remedy="Install the grid for PROJ, or save the layer in WGS 84 in the program it comes from; check the first pass "
    "by eye.",
)
