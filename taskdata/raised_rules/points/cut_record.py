"""A binary point file ends in the middle of a point.

What it checks
    That the size of the file is a multiple of the length of a record, which follows from the attributes written empty
    in the point that names the file. Without any such attribute a file cannot hold anything.
Why it matters
    Either the copy is broken and points are missing, or the file was written with other fields than the point says;
    then every coordinate is wrong. A line or boundary made of them must not steer a machine.
Example
    Points of north and east take 16 bytes each; the file has 1000 bytes: 62 points and 8 bytes too many.
How to fix
    Copy or export the file again. Compare the coordinates of the points read with the place of the field.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="points.cut-record",
    severity=Severity.ERROR,
    message="The point file has {octets} bytes, which is not a multiple of the {length} bytes of a record.",
    remedy="Copy the file again; {records} complete points could be read.",
    clause="8.6.4",
    covers=("R-178",),
    since=4,
)
