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
    remedy="Look at the names; copy the .cpg too, or write one that names the encoding.",
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
    message="What {layer} says about its coordinates cannot be read.",
    remedy="Copy its .prj again, or name the system with --crs EPSG:<code>.",
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
    remedy="Copy it again from where it came; what stood at its end is missing.",
    clause="ESRI Shapefile Technical Description",
    about=_CUT_OFF,
)

RULES = (LETTERS_GUESSED, CUT_OFF, UNREADABLE_CRS, MEASURES_LEFT_OUT)
"""Every rule of this module."""
