"""What may be wrong in the parts of a layer: its letters, its stated system, the kind of its geometry."""

from __future__ import annotations

from taskdata.findings import Rule, Severity

_LETTERS_GUESSED = """\
What it checks
    The texts of an attribute table are in the encoding that the table or its .cpg states, UTF-8 where nothing does.
Why it matters
    The texts were read as windows-1252, which is a guess: letters with accents may be wrong.
Example
    A shapefile of an older program without a .cpg, with umlauts in its names.
How to fix
    Look at the names. Copy the .cpg too, or write one that names the encoding.
"""

LETTERS_GUESSED = Rule(
    id="import.letters-guessed",
    severity=Severity.WARNING,
    message="The texts of {layer} are not in the encoding that it states; they were read as {guess}, which is a guess.",
    remedy="Check the names; copy the .cpg too, or write one that names the encoding.",
    clause="ESRI Shapefile Technical Description",
    about=_LETTERS_GUESSED,
)

_UNREADABLE_CRS = """\
What it checks
    The .prj of a shapefile can be read.
Why it matters
    It says what the coordinates are in. The layer was read as if the file were not there.
Example
    A .prj that was cut off while it was copied.
How to fix
    Copy the .prj again, or name the system with --crs.
"""

UNREADABLE_CRS = Rule(
    id="import.unreadable-crs",
    severity=Severity.WARNING,
    message="The coordinate reference system that {layer} states cannot be read.",
    remedy="Copy its .prj again, or name the system with [[crs=EPSG:<code>]].",
    about=_UNREADABLE_CRS,
)

_MEASURES_LEFT_OUT = """\
What it checks
    Whether coordinates carry measures besides their place.
Why it matters
    Task data has no place for them; they are not in the result.
Example
    Lines on which every vertex has its distance from the start.
How to fix
    Nothing; the positions are complete.
"""

MEASURES_LEFT_OUT = Rule(
    id="import.measures-left-out",
    severity=Severity.NOTE,
    message="{layer} has measures at its vertices; they are left out.",
    remedy="Nothing to do.",
    about=_MEASURES_LEFT_OUT,
)

_CUT_OFF = """\
What it checks
    The files of a shapefile are as long as their headers say.
Why it matters
    What stood at the end is missing: geometry, or names and other attributes.
Example
    A stick that was pulled out while it was written to.
How to fix
    Copy the files again from where they came.
"""

CUT_OFF = Rule(
    id="import.cut-off",
    severity=Severity.ERROR,
    message="{file} was cut off: it has {size} bytes, and its header says {stated}.",
    remedy="Copy it again from the original; its end is missing.",
    clause="ESRI Shapefile Technical Description",
    about=_CUT_OFF,
)

_CRS_UNKNOWN = """\
What it checks
    It is known what the coordinates of every layer are in.
Why it matters
    Numbers that are no degrees lie nowhere without their system; the layer is not in the result.
Example
    A folder of four shapefiles in UTM, one of them without its .prj.
How to fix
    Copy the .prj too, or name the system with --crs.
"""

CRS_UNKNOWN = Rule(
    id="import.crs-unknown",
    severity=Severity.ERROR,
    message="The coordinate reference system of {layer} is unknown; it is left out ({reason}).",
    remedy="Copy its .prj too, or name the system with [[crs=EPSG:<code>]].",
    about=_CRS_UNKNOWN,
)

_CRS_NOT_APPLIED = """\
What it checks
    A system of coordinates that was given by hand (--crs) has an effect.
Why it matters
    It is for layers that name none. Whoever meant to correct a wrong system would believe that it was done.
Example
    --crs EPSG:25832 for task data, which is always in WGS 84, or for a shapefile with a .prj.
How to fix
    Leave --crs out. Where the layer names a wrong system, correct or remove its .prj.
"""

CRS_NOT_APPLIED = Rule(
    id="import.crs-not-applied",
    severity=Severity.NOTE,
    message="{crs} was not applied to {layer}: {reason}.",
    remedy="Leave [[crs]] out; if the layer names a wrong system, correct or remove its .prj.",
    about=_CRS_NOT_APPLIED,
)

_NOT_UTF8 = """\
What it checks
    A GeoJSON file is UTF-8.
Why it matters
    Other programs refuse the file. Where it does not say by a mark what it is in, its letters were guessed: those with
    accents may be wrong.
Example
    A file that an older program wrote in windows-1252, with umlauts in its names.
How to fix
    Look at the names, and have the file written again as UTF-8; converting it does so.
"""

NOT_UTF8 = Rule(
    id="import.not-utf-8",
    severity=Severity.WARNING,
    message="{layer} is not UTF-8; it was read as {encoding}{sureness}.",
    remedy="Check the names; save the file as UTF-8.",
    clause="RFC 7946 section 11, RFC 8259 section 8.1",
    about=_NOT_UTF8,
)

_SELF_CROSSING = """\
What it checks
    No polygon of a layer crosses or touches itself, and its holes lie inside and apart. The judge is GEOS, by
    OGC 06-103r4; edges are straight in longitude and latitude.
Why it matters
    What lies inside such a polygon is a matter of the program: area, amount and the place where sections shut differ
    from one to the next. The shape was taken over as it is.
Example
    Corners in the order south-west, north-east, south-east, north-west.
How to fix
    Draw the polygon again at the place given. A loop often stems from a turn or a drift of position in the survey.
"""

SELF_CROSSING = Rule(
    id="import.self-crossing",
    severity=Severity.WARNING,
    message="The polygon of row {row} of {layer} {what}; it is taken over as it is.",
    remedy="Draw it again at this point; until then its area and interior are uncertain.",
    clause="OGC 06-103r4",
    about=_SELF_CROSSING,
)

RULES = (
    LETTERS_GUESSED,
    CUT_OFF,
    UNREADABLE_CRS,
    MEASURES_LEFT_OUT,
    CRS_UNKNOWN,
    CRS_NOT_APPLIED,
    NOT_UTF8,
    SELF_CROSSING,
)
"""Every rule of this module."""
