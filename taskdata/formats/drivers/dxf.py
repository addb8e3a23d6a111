"""DXF, as text and binary: lines, arcs, points and texts of a drawing, a layer for each of its layers; read only.

GDAL makes lines of polylines, circles and arcs, of closed ones too, and puts in what stands in blocks.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from pathlib import Path

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc
import shapely
from pyogrio.errors import DataLayerError, DataSourceError

from taskdata.errors import SourceError
from taskdata.file_formats.contents import DXF_BINARY, HEAD
from taskdata.findings import Finding, Place
from taskdata.formats.base import RawTable, Tables, read_each
from taskdata.formats.columns import GEOMETRY
from taskdata.formats.drivers.damage_reasons import reason
from taskdata.formats.drivers.ogr import check_content, opened_by, read_layer
from taskdata.raised_rules.import_.broken_off import RULE as BROKEN_OFF
from taskdata.raised_rules.import_.drawing_units import RULE as DRAWING_UNITS
from taskdata.raised_rules.import_.value_left_out import RULE as VALUE_LEFT_OUT

_UNREADABLE = (DataSourceError, DataLayerError, pa.ArrowException, UnicodeDecodeError, OSError)
_LAYER, _SHEET = "Layer", "PaperSpace"
_TECHNICAL = frozenset({_LAYER, _SHEET, "SubClasses", "EntityHandle"})
_UNNAMED = "0"
_DRIVER = "DXF"
_STEP_DEG = "1"
"""GDAL gives arcs a corner at every fourth degree by itself."""
_END = 64
_UNITS = re.compile(rb"\$INSUNITS\s+70\s+(\d+)|\$INSUNITS\0\x46\0(..)", re.DOTALL)
_UNIT_NAMES = {
    1: "inches",
    2: "feet",
    3: "miles",
    4: "millimetres",
    5: "centimetres",
    7: "kilometres",
    10: "yards",
    14: "decimetres",
}
"""Units of $INSUNITS by number, but for the metre (6) and none (0), from memory of the DXF reference."""


class Dxf:
    """The driver."""

    def read(self, path: Path, files: Sequence[Path]) -> Tables:
        """Return the layers of each file."""
        return read_each(files, read_file)


DRIVER = Dxf()


def read_file(path: Path) -> Tables:
    """Return the entities of a drawing as a table for each of its layers, and what is wrong with it.

    Arcs and circles become lines with a corner at every degree. What stands on a sheet and not on the ground is left
    out.

    Raises
    ------
    SourceError
        It is damaged, or no DXF.
    """
    check_content(path, "dxf")
    try:
        with opened_by(_DRIVER, OGR_ARC_STEPSIZE=_STEP_DEG):
            layer = read_layer(path, _DRIVER)
    except _UNREADABLE as error:
        raise SourceError(
            "The DXF file cannot be read",
            where=path,
            why=reason(error),
            remedy="Copy it again from the original.",
        ) from error
    table, found = layer.table, Tables(findings=list(_findings(path)))
    on_ground = pc.invert(pc.fill_null(pc.equal(table[_SHEET].cast(pa.int64()), 1), fill_value=False))
    left = table.num_rows - int(pc.sum(on_ground).as_py() or 0)
    if left:
        what = f"{left} entities of {path.name}"
        why = "they stand on a sheet of the drawing, not on the ground"
        found.findings.append(VALUE_LEFT_OUT.at(Place(file=path.name), what=what, reason=why))
    table = _flat(table.filter(on_ground))
    for name in pc.unique(table[_LAYER]).to_pylist():
        chosen = pc.is_null(table[_LAYER]) if name is None else pc.equal(table[_LAYER], name)
        rows = table.filter(pc.fill_null(chosen, fill_value=False))
        kept = [key for key in rows.column_names if key not in _TECHNICAL and rows[key].null_count < rows.num_rows]
        called = path.stem if name in {None, "", _UNNAMED} else name
        found.add(RawTable(called, path.name, rows.select([*(key for key in kept if key != GEOMETRY), GEOMETRY])))
    return found


def _flat(table: pa.Table) -> pa.Table:
    """Return a table in which a shape has heights only where one of them is not 0, as a flat drawing has."""
    with np.errstate(invalid="ignore"):  # coordinates that are no numbers are told when the layer is placed
        shapes = shapely.from_wkb(np.array(table[GEOMETRY].to_pylist(), dtype=object))
        at, rows = shapely.get_coordinates(shapes, include_z=True, return_index=True)
        flat = np.ones(len(shapes), dtype=np.bool_)
        flat[rows[np.nan_to_num(at[:, 2]) != 0.0]] = False
        shapes[flat] = shapely.force_2d(shapes[flat])
    records = pa.array(shapely.to_wkb(shapes).tolist(), pa.large_binary())
    return table.set_column(table.column_names.index(GEOMETRY), GEOMETRY, records)


def _findings(path: Path) -> Iterator[Finding]:
    """Yield what a drawing says of its units, and that its end is missing."""
    with path.open("rb") as file:
        head = file.read(HEAD)
        size = file.seek(0, 2)
        file.seek(max(0, size - _END))
        end = file.read()
        file.seek(0)
        lines = 1 + sum(chunk.count(b"\n") for chunk in iter(lambda: file.read(HEAD), b""))
    stated = _UNITS.search(head)
    if stated is not None:
        unit = int(stated[1]) if stated[1] is not None else int.from_bytes(stated[2], "little")
        if unit in _UNIT_NAMES:
            yield DRAWING_UNITS.at(Place(file=path.name), file=path.name, what=_UNIT_NAMES[unit])
    if not end.rstrip(b"\0\r\n\t \x1a").endswith(b"EOF"):
        line = None if head.startswith(DXF_BINARY) else lines
        place = Place(file=path.name, line=line)
        yield BROKEN_OFF.at(place, file=path.name, line=lines, reason="the mark of its end is missing")
