"""What may be wrong in the shapes of a layer's rows: their rings, parts and positions."""

from __future__ import annotations

from taskdata.findings import Rule, Severity

_PART_LEFT_OUT = """\
What it checks
    Every part of a row has a shape: a ring has three places that do not lie on one line, a line has two places, no part
    is empty, every coordinate is a number on Earth.
Why it matters
    The part is not in the result; the rest of the row is.
Example
    A field with a hole whose points all lie on one line, or a line of two parts of which one is empty.
How to fix
    Look at the place. Draw the part again if it was meant to be something, or remove it.
"""

PART_LEFT_OUT = Rule(
    id="import.part-left-out",
    severity=Severity.WARNING,
    message="A part of row {row} of {layer} is left out: {reason}.",
    remedy="Draw the part again if it was meant to be something, or remove it.",
    clause="OGC 06-103r4 section 6.1.11, RFC 7946 section 3.1",
    about=_PART_LEFT_OUT,
)

_OPEN_RING = """\
What it checks
    Every ring of a polygon ends where it began.
Why it matters
    The last point was joined to the first. Where a piece of the ring is missing, that is a straight line through what
    was left out.
Example
    A square given by its four corners alone.
How to fix
    Look at the line between the last and the first point of the ring, and save the polygon closed.
"""

OPEN_RING = Rule(
    id="import.open-ring",
    severity=Severity.WARNING,
    message="{count} of row {row} of {layer} did not end at the first point; closed with a straight line.",
    remedy="Check the line between the last and the first point; save the polygon closed.",
    clause="RFC 7946 section 3.1.6, OGC 06-103r4 section 6.1.11",
    about=_OPEN_RING,
)

_TEXT_COORDINATE = """\
What it checks
    Coordinates are numbers.
Why it matters
    They were texts, such as "9.25", and read as the numbers that they spell. Other programs may refuse them.
Example
    "coordinates": ["9.25", "52.1"]
How to fix
    Save the file with numbers; converting it does so.
"""

TEXT_COORDINATE = Rule(
    id="import.text-coordinate",
    severity=Severity.WARNING,
    message="Coordinates of row {row} of {layer} are texts; they were read as numbers.",
    remedy="Save the file with numbers; converting it does so.",
    clause="RFC 7946 section 3.1.1",
    about=_TEXT_COORDINATE,
)

_BEYOND_SEAM = """\
What it checks
    Longitudes lie between -180 and 180 degrees.
Why it matters
    They were turned by a whole circle: 180.01 is the same place as -179.99. Other programs may refuse them, or take
    them for a fault.
Example
    A field across the antimeridian whose eastern corners are at 180.01 degrees.
How to fix
    Nothing where the place is right; else correct the coordinates.
"""

BEYOND_SEAM = Rule(
    id="import.beyond-180",
    severity=Severity.WARNING,
    message="Row {row} of {layer} has longitudes beyond 180 degrees, such as {value}; they were moved by 360 degrees.",
    remedy="Check that the position is right, or correct the coordinates.",
    clause="RFC 7946 sections 3.1.9 and 4",
    about=_BEYOND_SEAM,
)

_NO_FEATURE = """\
What it checks
    Every member of "features" is a Feature.
Why it matters
    What is none is not in the result.
Example
    null among the features, or a second collection within the first.
How to fix
    Have the file written again; wrap a geometry that stands alone in a Feature.
"""

NO_FEATURE = Rule(
    id="import.no-feature",
    severity=Severity.WARNING,
    message="Row {row} of {layer} is left out: it is {what}, not a Feature.",
    remedy="Save the file again in the program it comes from.",
    clause="RFC 7946 section 3.3",
    about=_NO_FEATURE,
)

_NAME_TWICE = """\
What it checks
    No object of a GeoJSON file has two members of one name.
Why it matters
    Only the last of them was taken; another program may take the first. What they said besides is not in the result.
Example
    {"name": "Breite", "name": "Kuhle"}
How to fix
    Look which value is right, and remove the other.
"""

NAME_TWICE = Rule(
    id="import.name-twice",
    severity=Severity.WARNING,
    message="{what} of {layer} has the member {name} more than once; only the last one was read.",
    remedy="Check which one is right, and remove the other.",
    clause="RFC 8259 section 4",
    about=_NAME_TWICE,
)

_HEIGHTS_TAKEN = """\
What it checks
    It is known what the heights of points refer to.
Why it matters
    They were kept as they stand, in metres above the ellipsoid of WGS 84. Heights above sea level differ from those by
    up to 100 m, in Central Europe by about 45 m.
Example
    A layer of gates and wells with the height above sea level in each point.
How to fix
    Nothing where heights do not matter; else bring them to the ellipsoid first.
"""

HEIGHTS_TAKEN = Rule(
    id="import.heights-taken",
    severity=Severity.NOTE,
    message="The heights of points of {layer} are kept as metres above the ellipsoid of WGS 84, though {reason}.",
    remedy="Nothing to do if heights do not matter; otherwise convert them to ellipsoidal heights first.",
    about=_HEIGHTS_TAKEN,
)

RULES = (
    PART_LEFT_OUT,
    OPEN_RING,
    TEXT_COORDINATE,
    BEYOND_SEAM,
    NO_FEATURE,
    NAME_TWICE,
    HEIGHTS_TAKEN,
)
"""Every rule of this module."""
