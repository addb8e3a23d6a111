"""What a layer states of its coordinates is implausible.

What it checks
    That a layer lies where its coordinate reference system puts it: near the other data of the source, in the area that
    the system is made for, with longitude before latitude, and in the length that the system is in.
Why it matters
    A wrong zone puts a field hundreds of kilometres away, swapped axes into the sea, feet taken as metres makes it ten
    times as large. Nothing was changed, since what is stated may be right all the same.
Example
    A shapefile in US survey feet whose .prj says metres; GeoJSON with latitude first.
How to fix
    If the guess is right, use it with --accept-guess, or name the system with --crs. Otherwise leave it as it is.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="import.crs-doubtful",
    severity=Severity.WARNING,
    message="{layer} may lie in the wrong place: {reason}. {guess}. Nothing was changed.",
    remedy="If the guess is right, give [[accept_guess]] or [[crs]]; check the first pass by eye.",
)
