"""What may be wrong in GIS files that are read."""

from __future__ import annotations

from taskdata.findings import Rule, Severity
from taskdata.formats.rules import part_rules, shape_rules, system_rules, table_rules

_NO_GEOMETRY = """\
What it checks
    Every row of a layer has a geometry.
Why it matters
    A row without one cannot become a field, a line or a point.
Example
    A table of ten fields in which one was added to the table but never drawn.
How to fix
    Draw the geometry, or remove the row.
"""

NO_GEOMETRY = Rule(
    id="import.no-geometry",
    severity=Severity.WARNING,
    message="Row {row} of {layer} has no geometry and is left out.",
    remedy="Draw it, or remove the row.",
    about=_NO_GEOMETRY,
)

_BAD_GEOMETRY = """\
What it checks
    The geometry of every row can be read: rings have at least four points and end where they begin, lines have two
    points, coordinates are numbers on Earth.
Why it matters
    Such a geometry has no certain shape; taking a guess could move a boundary.
Example
    A polygon whose ring has two points.
How to fix
    Repair the geometry in a GIS, then convert again.
"""

BAD_GEOMETRY = Rule(
    id="import.bad-geometry",
    severity=Severity.WARNING,
    message="The geometry of row {row} of {layer} cannot be used: {reason}. It is left out.",
    remedy="Repair the geometry in a GIS.",
    about=_BAD_GEOMETRY,
)

_UNREADABLE_LAYER = """\
What it checks
    Every layer of a folder or file can be read.
Why it matters
    What cannot be read is missing from the result.
Example
    A folder of three shapefiles of which one was cut off while it was copied.
How to fix
    Copy the layer again from where it came.
"""

UNREADABLE_LAYER = Rule(
    id="import.unreadable-layer",
    severity=Severity.ERROR,
    message="{layer} cannot be read and is left out: {reason}.",
    remedy="Copy it again from the original.",
    about=_UNREADABLE_LAYER,
)

_INDEX_REBUILT = """\
What it checks
    A shapefile has its index (.shx).
Why it matters
    Without it most programs refuse the file. It was rebuilt in a temporary copy; the source is as it was.
Example
    Only the .shp was sent by mail.
How to fix
    Copy all files of the shapefile: .shp, .shx, .dbf, .prj, .cpg.
"""

INDEX_REBUILT = Rule(
    id="import.index-rebuilt",
    severity=Severity.NOTE,
    message="{layer} has no index file (.shx); it was rebuilt for reading.",
    remedy="Copy all files of the shapefile: .shp, .shx, .dbf, .prj, .cpg.",
    clause="ESRI Shapefile Technical Description",
    about=_INDEX_REBUILT,
)

_NO_ATTRIBUTES = """\
What it checks
    A shapefile has its attribute table (.dbf).
Why it matters
    Names and all other attributes are missing; what is read gets made names.
Example
    The .dbf was left behind when the files were copied.
How to fix
    Copy all files of the shapefile: .shp, .shx, .dbf, .prj, .cpg.
"""

NO_ATTRIBUTES = Rule(
    id="import.no-attributes",
    severity=Severity.WARNING,
    message="{layer} has no readable attribute table (.dbf); only its geometry was read.",
    remedy="Copy all files of the shapefile: .shp, .shx, .dbf, .prj, .cpg.",
    clause="ESRI Shapefile Technical Description",
    about=_NO_ATTRIBUTES,
)

_CRS_ASSUMED = """\
What it checks
    A layer says what its coordinates are in.
Why it matters
    Coordinates that look like degrees were taken as WGS 84. If they are degrees of an older datum, lines and boundaries
    lie off by up to some hundred metres.
Example
    A shapefile without its .prj.
How to fix
    Copy the .prj too, or name the system with --crs.
"""

CRS_ASSUMED = Rule(
    id="import.crs-assumed",
    severity=Severity.WARNING,
    message=(
        "{layer} states no coordinate reference system; WGS 84 was assumed since the coordinates look like degrees."
    ),
    remedy="Copy its .prj too, or name the system with [[crs=EPSG:<code>]].",
    about=_CRS_ASSUMED,
)

_CRS_MEMBER = """\
What it checks
    A GeoJSON file has no member "crs".
Why it matters
    RFC 7946 took it out: GeoJSON is always WGS 84. The member was obeyed here, but other programs may ignore it and
    place the data somewhere else.
Example
    "crs": {"type": "name", "properties": {"name": "urn:ogc:def:crs:EPSG::25832"}}
How to fix
    Save the file in WGS 84 without the member.
"""

CRS_MEMBER = Rule(
    id="import.crs-member",
    severity=Severity.NOTE,
    message="{layer} states its coordinate reference system in a member that RFC 7946 has removed; it was used.",
    remedy="Save the file in WGS 84.",
    clause="RFC 7946 section 4",
    about=_CRS_MEMBER,
)

_GRID_MISSING = """\
What it checks
    The best known way from the layer's datum to WGS 84 can be used.
Why it matters
    A less accurate one was used; everything may lie off by its stated accuracy, and a guidance line too.
Example
    A layer in an old national system, whose grid of corrections is not installed: 3 m instead of 1 m.
How to fix
    Install the named grid for PROJ, or save the layer in WGS 84 with the program it comes from. Check the first pass
    by eye.
"""

GRID_MISSING = Rule(
    id="import.grid-missing",
    severity=Severity.WARNING,
    message=(
        "{layer} was transformed to WGS 84 by {operation} (accuracy {accuracy}); a better transformation needs {grids}."
    ),
    remedy=(
        "Install the grid for PROJ, or save the layer in WGS 84 in the program it comes from; check the first pass by "
        "eye."
    ),
    about=_GRID_MISSING,
)

_LAYER_LEFT_OUT = """\
What it checks
    Every table holds something that task data has a place for.
Why it matters
    The table is not in the result.
Example
    A table of styles that a GIS added to the file.
How to fix
    Nothing, if it does not belong to the field data; else give its rows a geometry.
"""

LAYER_LEFT_OUT = Rule(
    id="import.layer-left-out",
    severity=Severity.NOTE,
    message="{layer} is left out: {reason}.",
    remedy="Nothing to do, unless it holds field data.",
    about=_LAYER_LEFT_OUT,
)

_HEIGHTS_LEFT_OUT = """\
What it checks
    Whether lines and polygons carry heights, which task data has no place for, and whether those of points are in
    metres.
Why it matters
    The heights are not in the result; the positions are complete.
Example
    Lines from a survey with the height above sea level in each point.
How to fix
    Nothing; the positions are complete.
"""

HEIGHTS_LEFT_OUT = Rule(
    id="import.heights-left-out",
    severity=Severity.NOTE,
    message="Heights of {layer} are left out: {reason}.",
    remedy="Nothing to do.",
    about=_HEIGHTS_LEFT_OUT,
)

_COLUMNS_LEFT_OUT = """\
What it checks
    Whether a layer that another program wrote has columns besides the one with the names.
Why it matters
    Their values are not in the result; only names and geometry are read.
Example
    A layer of fields with the crop of three years.
How to fix
    Nothing, if the columns are not needed; choose another column for the names with --name-column.
"""

COLUMNS_LEFT_OUT = Rule(
    id="import.columns-left-out",
    severity=Severity.NOTE,
    message="Names in {layer} were read from {column}. These columns are left out: {columns}.",
    remedy="If another column holds the names, choose it with [[name_column]].",
    about=_COLUMNS_LEFT_OUT,
)

_VALUE_LEFT_OUT = """\
What it checks
    That every value of the layers this program writes can be read back.
Why it matters
    The value is not in the result.
Example
    A new row in the layer of areas without a geometry.
How to fix
    Correct the value in the layer; the published table of columns says what each one takes.
"""

VALUE_LEFT_OUT = Rule(
    id="import.value-left-out",
    severity=Severity.WARNING,
    message="{what} is left out: {reason}.",
    remedy="Correct it in the layer and convert again.",
    about=_VALUE_LEFT_OUT,
)

_FAR_FROM_FIELDS = """\
What it checks
    Lines and points of a layer lie in a field, or no farther from one than a guidance line or a mark may (1 km,
    common practice).
Why it matters
    To which field they belong cannot be told; a line in the wrong field is offered there, and steered by. They are put
    into a field of their own, without a boundary.
Example
    A layer of guidance lines of two farms, 500 km apart, beside the fields of one of them.
How to fix
    Add the fields that they belong to, or move them to theirs.
"""

FAR_FROM_FIELDS = Rule(
    id="import.far-from-fields",
    severity=Severity.WARNING,
    message=(
        "Lines and points of {layer} that are more than {limit} from every field: {count}. They go into a separate "
        "field."
    ),
    remedy="Add the fields that they belong to, or move them to theirs.",
    about=_FAR_FROM_FIELDS,
)

_VALUE_REFUSED = """\
What it checks
    That every value which somebody typed into a row of the layers this program writes can be stored.
Why it matters
    It was meant to change the set. Left out, it would be missed; so nothing is written from the layers until it is
    corrected or taken out.
Example
    A colour of 300 in the layer of areas, where the standard has room for 0 to 254.
How to fix
    Correct the value in its row; the published table of columns says what each one takes.
"""

VALUE_REFUSED = Rule(
    id="import.value-refused",
    severity=Severity.ERROR,
    message="{column} of {what} is {value}, which cannot be stored: it should be {wanted}.",
    remedy="Correct it in the layer; until then nothing is written.",
    about=_VALUE_REFUSED,
)

RULES = (
    NO_GEOMETRY,
    BAD_GEOMETRY,
    UNREADABLE_LAYER,
    INDEX_REBUILT,
    NO_ATTRIBUTES,
    CRS_ASSUMED,
    CRS_MEMBER,
    GRID_MISSING,
    LAYER_LEFT_OUT,
    HEIGHTS_LEFT_OUT,
    COLUMNS_LEFT_OUT,
    VALUE_LEFT_OUT,
    FAR_FROM_FIELDS,
    VALUE_REFUSED,
    *part_rules.RULES,
    *shape_rules.RULES,
    *system_rules.RULES,
    *table_rules.RULES,
)
"""Every rule of this folder."""
