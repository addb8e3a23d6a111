"""A field lies in the layers of a source twice.

What it checks
    Whether two fields that were read of layers cover the same ground: 80 % or more of what they cover together.
Why it matters
    The same field from two files, such as an export in another system or format, is there twice in the result: areas
    count double, and work is booked on one of them and missed on the other.
Example
    A folder with a shapefile of fields and a GeoPackage of the same fields.
How to fix
    Choose one of the files with --take, or merge the files as sources of their own, which joins fields of one ground.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="import.field-twice",
    severity=Severity.WARNING,
    message='{element} "{name}" covers the same ground as {other} "{text}", and both are kept.',
    remedy="Choose one source of fields with [[take]], or give the files to [[merge()]], which joins them.",
)
