"""What may be wrong in the tables that rows stand in: between the files of a shapefile, in the pages of a database."""

from __future__ import annotations

from taskdata.findings import Rule, Severity

_INDEX_UNFIT = """\
What it checks
    The index of a shapefile (.shx) names for each row the place of its record in the main file (.shp).
Why it matters
    A wrong index gives a row the shape of another one, or none.
Example
    An index of last year beside a main file of this year.
How to fix
    Copy all files of the shapefile again, together.
"""

INDEX_UNFIT = Rule(
    id="import.index-unfit",
    severity=Severity.ERROR,
    message="The index {file} does not fit {layer}; {taken}.",
    remedy="Copy all files of the shapefile again, together; check that each row has its own shape.",
    clause="ESRI Shapefile Technical Description, Organization of the Index File",
    about=_INDEX_UNFIT,
)

_ROWS_DELETED = """\
What it checks
    No row of the table of a shapefile is marked as deleted.
Why it matters
    A program that deletes rows only marks them until the file is packed. They are not in the result, though their
    shapes are still in the file.
Example
    Ten fields of which two were deleted in a table editor.
How to fix
    Nothing where they were meant to go; else take the marks out with the program that set them.
"""

ROWS_DELETED = Rule(
    id="import.rows-deleted",
    severity=Severity.WARNING,
    message="Rows of {layer} are marked as deleted in {file} and left out, {count} in all: {rows}.",
    remedy="Nothing to do if they were meant to go; otherwise remove the marks.",
    clause="dBASE file format, deletion mark",
    about=_ROWS_DELETED,
)

_ROWS_UNEQUAL = """\
What it checks
    A shapefile has as many shapes as its table has rows.
Why it matters
    They belong together by their order alone. What is beyond the shorter of the two is not in the result, and where
    something is missing in the middle, names stand at the wrong shapes.
Example
    A table of last year beside the shapes of this year.
How to fix
    Copy all files of the shapefile again, together.
"""

ROWS_UNEQUAL = Rule(
    id="import.rows-unequal",
    severity=Severity.ERROR,
    message="{layer} has {count} shapes and {file} {total} rows; what has no counterpart is left out.",
    remedy="Copy all files of the shapefile again, together; check that each name belongs to its shape.",
    clause="ESRI Shapefile Technical Description, dBASE File",
    about=_ROWS_UNEQUAL,
)

_DATABASE_DAMAGED = """\
What it checks
    The pages of a GeoPackage fit together, by the quick check of SQLite.
Why it matters
    Rows on damaged pages are missing, and nobody can say how many.
Example
    A stick that was pulled out while the file was written to.
How to fix
    Copy the file again from where it came.
"""

DATABASE_DAMAGED = Rule(
    id="import.database-damaged",
    severity=Severity.ERROR,
    message="{file} is damaged inside; rows may be missing.",
    remedy="Copy it again from the original, and check that every row is there.",
    clause="OGC 12-128r18 clause 1.1.1",
    about=_DATABASE_DAMAGED,
)

_ROWS_MISSING = """\
What it checks
    A file holds as many rows as it says at its beginning.
Why it matters
    The rows at its end are missing from the result.
Example
    A file of which the second half was not copied.
How to fix
    Copy the file again from where it came.
"""

ROWS_MISSING = Rule(
    id="import.rows-missing",
    severity=Severity.ERROR,
    message="{file} says that it holds {total} rows, and {count} can be read.",
    remedy="Copy it again from the original, and check that every row is there.",
    about=_ROWS_MISSING,
)

RULES = (INDEX_UNFIT, ROWS_DELETED, ROWS_UNEQUAL, DATABASE_DAMAGED, ROWS_MISSING)
"""Every rule of this module."""
