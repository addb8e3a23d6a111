"""What the drivers that go through GDAL share."""

from __future__ import annotations

import os
import shutil
import tempfile
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import NamedTuple

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc
import pyogrio
from numpy.typing import NDArray
from pyogrio import _ogr
from pyogrio.errors import CRSError, DataLayerError, DataSourceError, FeatureError, FieldError, GeometryError
from pyogrio.raw import read_arrow
from pyogrio.util import vsi_path

from taskdata.errors import SourceError, TargetError
from taskdata.file_formats.contents import HEAD
from taskdata.file_formats.regular import is_utf8
from taskdata.file_formats.table import format_named, told_by_content
from taskdata.formats.columns import GEOMETRY, GeometryType, Layer, LongLayer
from taskdata.formats.distinct_names import distinct_names
from taskdata.formats.only_driver import OFF, registered

_MULTI_LINE = b"\x01\x05\x00\x00\x00"
_NO_SYSTEM = ('LOCAL_CS["Undefined', 'ENGCRS["Undefined', 'GEOGCS["Undefined', 'GEOGCRS["Undefined')
_WRITING = (
    DataSourceError,
    DataLayerError,
    FeatureError,
    FieldError,
    GeometryError,
    pa.ArrowException,
    OSError,
    UnicodeEncodeError,
)


@contextmanager
def writing(path: Path) -> Iterator[None]:
    """Turn what goes wrong while a target is written into a `TargetError`."""
    try:
        yield
    except _WRITING as error:
        raise TargetError(
            "The target could not be written",
            where=path,
            why=_why(error),
            remedy="Check that the disk has space and that you may write there.",
        ) from error


@contextmanager
def writing_by_gdal(path: Path) -> Iterator[None]:
    """As ``writing``, and refuse a path that would be taken for another: what is written would lie elsewhere."""
    if not is_plain(path):
        raise TargetError(
            "The target could not be written",
            where=path,
            why="the library that writes this format takes a ! in a path, or the ending .zip, for an archive, and knows"
            " names in UTF-8 alone",
            remedy="Name another target, or another format.",
        )
    with writing(path):
        yield


def _why(error: Exception) -> str:
    if isinstance(error, UnicodeEncodeError):
        return "its path is not in UTF-8"
    return (error.strerror if isinstance(error, OSError) else None) or str(error)


def check_content(path: Path, name: str) -> None:
    """Raise where the content of a file is not of a format: GDAL would try all its drivers on it.

    Raises
    ------
    SourceError
    """
    form = format_named(name)
    with path.open("rb") as file:
        head = file.read(HEAD)
    if not form.told(head):
        other = told_by_content(head, Path())
        kind = "of another kind" if other is None else f"that of another format, {other.label}"
        raise SourceError(
            f"The {form.file_noun} cannot be read",
            where=path,
            why=f"its content is {kind}" if head else "it is empty",
            remedy="Copy it again from the original.",
        )


def is_plain(path: Path) -> bool:
    """Tell whether pyogrio takes a path for that of a file: ``.zip`` at its end and ``!`` mean an archive to it.

    A path that is not in UTF-8 means nothing to it.
    """
    return is_utf8(path) and bool(vsi_path(str(path)) == str(path))


@contextmanager
def readable_at(path: Path) -> Iterator[Path]:
    """Yield a path at which a library that knows UTF-8 alone finds a file: a copy where its own is not in it."""
    if is_utf8(path):
        yield path
        return
    with tempfile.TemporaryDirectory(prefix="taskdata-") as folder:
        place = Path(folder) / f"layer{path.suffix if is_utf8(Path(path.suffix)) else ''}"
        shutil.copyfile(path, place)
        yield place


def as_named(path: Path) -> str:
    """Return a path at which GDAL reads the one file that stands there, whatever the file is called.

    It is absolute, so that no name is taken for a connection, and none for a virtual file of GDAL.
    """
    whole = path.absolute()
    if not is_plain(path):
        return f"/vsisubfile/0_,{whole}"
    return f"/.{whole}" if str(whole).startswith("/vsi") else str(whole)


@contextmanager
def opened_by(driver: str, **settings: str) -> Iterator[None]:
    """Let GDAL read files by one driver alone, with ``settings`` of its own; see `taskdata.formats.only_driver`."""
    wanted = OFF | settings
    before = {name: pyogrio.get_gdal_config_option(name) for name in wanted}
    environment = {name: os.environ.get(name) for name in wanted}
    with registered(_ogr, driver), unwarned():
        pyogrio.set_gdal_config_options(wanted)
        try:
            yield
        finally:
            stated = {name: None if environment[name] is not None else value for name, value in before.items()}
            pyogrio.set_gdal_config_options(stated)


@contextmanager
def unwarned() -> Iterator[None]:
    """Keep what GDAL says beside its results off the terminal; what counts of it is told as a finding."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        yield


@contextmanager
def system_understood() -> Iterator[None]:
    """Tell of a coordinate reference system that GDAL cannot write out as what it is.

    pyogrio (0.13) fails with an unbound variable of its own there, as where a name in the system is no text.
    """
    try:
        yield
    except UnboundLocalError as error:
        raise CRSError("the coordinate reference system cannot be read") from error


def declared(layer: Layer) -> tuple[pa.Table, str | None]:
    """Return the table of a layer as it is to be written, and the geometry type to declare.

    Lines are multi-part as soon as one has several parts; a layer is of one type.
    """
    kind = layer.spec.geometry
    if kind is GeometryType.LINE:
        column = layer.table[GEOMETRY]
        if pc.any(pc.starts_with(column, _MULTI_LINE)).as_py():
            whole = [record if record is None else _several(record) for record in column.to_pylist()]
            index = layer.table.column_names.index(GEOMETRY)
            return layer.table.set_column(index, GEOMETRY, pa.array(whole, pa.binary())), "MultiLineString"
    return layer.table, None if kind is None else kind.value


def write_layer(file: Path, layer: Layer, driver: str, **options: str) -> None:
    """Write a layer in WGS 84, with its description, by a driver of GDAL; ``options`` are those of its layers."""
    long = isinstance(layer, LongLayer)
    rows, kind = (layer.reader(), layer.spec.geometry and layer.spec.geometry.value) if long else declared(layer)
    pyogrio.write_arrow(
        rows,
        file,
        layer=layer.name,
        driver=driver,
        geometry_name=GEOMETRY if kind else None,
        geometry_type=kind,
        crs="EPSG:4326" if kind else None,
        layer_options={**options, "DESCRIPTION": layer.spec.description},
    )


class Found(NamedTuple):
    """A layer as it was read.

    Parameters
    ----------
    table : pyarrow.Table
        Attributes, and last the geometry as WKB.
    crs : str or None
        What its coordinates are in; None = not stated.
    fids : int64 (n,)
        GDAL's number of each row.
    encoding : str or None
        In which its texts were read; None = not known.
    """

    table: pa.Table
    crs: str | None
    fids: NDArray[np.int64]
    encoding: str | None = None


def read_layer(path: Path, driver: str, name: str | None = None, encoding: str | None = None, **options: str) -> Found:
    """Return a layer as one driver reads it.

    Parameters
    ----------
    path : Path
        A file that its content tells to be of the driver's format.
    driver : str
        GDAL's name of it.
    name : str, optional
        Name of the layer where there are several.
    encoding : str, optional
        That of its texts where the file does not say the truth.
    **options : str
        Options with which the driver opens it.

    Raises
    ------
    UnicodeDecodeError
        Its texts are in another encoding.
    CRSError
        What it says about its coordinates cannot be understood.
    """
    with opened_by(driver), system_understood(), readable_at(path) as place:
        meta, table = read_arrow(as_named(place), layer=name, encoding=encoding, return_fids=True, **options)
    table, fids = _each_once(table)
    for column in table.columns:
        if pa.types.is_string(column.type) and not _is_utf8(column):
            raise UnicodeDecodeError("utf-8", b"", 0, 0, "a text is in another encoding")
    table = table.replace_schema_metadata(None)
    has_geometry = meta["geometry_type"] is not None
    count = table.num_columns - has_geometry  # the geometry comes last
    names = distinct_names(table.column_names[:count], [GEOMETRY] if has_geometry else ())
    arrays = {item: _plain(table.column(at)) for at, item in enumerate(names)}
    if has_geometry:
        arrays[GEOMETRY] = table.column(count).cast(pa.large_binary())
    crs = meta["crs"]
    stated = None if crs is None or str(crs).startswith(_NO_SYSTEM) else str(crs)
    return Found(pa.table(arrays), stated, fids, encoding)


def _each_once(table: pa.Table) -> tuple[pa.Table, NDArray[np.int64]]:
    """Return a table without its first column, and that, the numbers of its rows, without a row that came twice.

    GDAL hands rows on twice where a GeoPackage counts more than it has, after a program deleted some.
    """
    fids = table.column(0).to_numpy().astype(np.int64)
    _, first = np.unique(fids, return_index=True)
    rows = table.remove_column(0)
    if len(first) == len(rows):
        return rows, fids
    return rows.take(np.sort(first)), fids[np.sort(first)]


def _is_utf8(column: pa.ChunkedArray) -> bool:
    """Return whether the texts of a column are what Arrow takes them for; GDAL hands on what it does not know."""
    try:
        column.validate(full=True)
    except pa.ArrowInvalid:
        return False
    return True


def _plain(column: pa.ChunkedArray) -> pa.ChunkedArray:
    """Return a column without time zone: what a GeoPackage calls UTC is written here as local time."""
    if pa.types.is_timestamp(column.type) and column.type.tz is not None:
        return column.cast(pa.timestamp(column.type.unit))
    return column


def _several(record: bytes) -> bytes:
    """Return a line as a multi-part line of one part."""
    return record if record.startswith(_MULTI_LINE) else _MULTI_LINE + (1).to_bytes(4, "little") + record
