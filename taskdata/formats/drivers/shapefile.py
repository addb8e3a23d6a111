"""ESRI shapefiles: a folder, three files and more a layer, and a sidecar for what they cannot hold.

After writing, the attribute table is read back; every cell that came out differently goes to the sidecar.
"""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Collection, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from dataclasses import replace
from pathlib import Path
from typing import Any

import pyarrow as pa
import pyarrow.compute as pc
import pyogrio
from pyogrio.errors import DataLayerError, DataSourceError

from taskdata.errors import SourceError, TargetError
from taskdata.file_formats.regular import other_beside
from taskdata.file_formats.table import alternatives
from taskdata.findings import Finding, Place
from taskdata.formats.base import LayerFiles, RawTable, Tables, read_each
from taskdata.formats.columns import GEOMETRY, KEY, Layer
from taskdata.formats.drivers import sidecar
from taskdata.formats.drivers.damage_reasons import reason
from taskdata.formats.drivers.ogr import Found, declared, is_plain, opened_by, read_layer, writing_by_gdal
from taskdata.formats.drivers.shapefile_parts import MAIN, check_header, cut_off, fitting, table_findings
from taskdata.formats.heads import dbf_columns
from taskdata.formats.layers import log_values
from taskdata.formats.layers.of_dataset import SPECS
from taskdata.formats.layers.own import OWN
from taskdata.formats.letters import BYTES, UTF_8, Letters, decoded, letters_of, non_ascii, stated
from taskdata.formats.side_tables import with_side_tables
from taskdata.ledger import Loss, LossKind
from taskdata.model.carried import Carried
from taskdata.phrases import phrase
from taskdata.raised_rules.import_.index_rebuilt import RULE as INDEX_REBUILT
from taskdata.raised_rules.import_.letters_guessed import RULE as LETTERS_GUESSED
from taskdata.raised_rules.import_.no_attributes import RULE as NO_ATTRIBUTES
from taskdata.raised_rules.import_.unreadable_crs import RULE as UNREADABLE_CRS

_DRIVER = "ESRI Shapefile"
TEXT_LIMIT = 254
COLUMN_LIMIT = 255
SIZE_LIMIT = 2**31 - 1
GUESS = "CP1252"
_REAL_LIMIT = 1e15
_ORDINARY_WIDTH = 80
_MANY_ROWS = 20_000


class Shapefile:
    """The driver; a layer a set of files."""

    def losses(self, layers: Sequence[Layer]) -> list[Loss]:
        """Return the columns beyond what a dBASE table holds; texts, types and bytes are kept in the sidecar.

        Raises
        ------
        TargetError
            A layer is larger than a shapefile can be.
        """
        found = []
        for layer in layers:
            _check_size(layer)
            for name in layer.attributes.column_names[COLUMN_LIMIT:]:
                why = phrase("a dBASE table holds {column_limit} columns", column_limit=COLUMN_LIMIT)
                found.append(
                    Loss(LossKind.DROPPED, None, phrase("column {name} of {name_2}", name=name, name_2=layer.name), why)
                )
        return found

    def write(self, target: LayerFiles, layers: Sequence[Layer], carried: Carried | None) -> None:
        """Write each layer, then the sidecar: one of the folder, or of the one shapefile."""
        kept = {layer.name: sidecar.columns(layer)[:COLUMN_LIMIT] for layer in layers}
        place = target.path / sidecar.NAME if target.suffix else sidecar.own_place(target.path)
        with writing_by_gdal(target.path):
            cells = {
                layer.name: _write_layer(target.of(layer), layer, kept[layer.name])
                for layer in with_side_tables(layers, None)
            }
            sidecar.write(place, kept, cells, carried)

    def column_names(self, path: Path) -> Mapping[str, Collection[str]]:
        """Return the names of the columns of the file under their full names."""
        return {path.stem: _full_names(dbf_columns(path.with_suffix(".dbf")))}

    def read(self, path: Path, files: Sequence[Path]) -> Tables:
        """Return every shapefile, with the help of its own sidecar or that of the folder."""
        return self.read_texts(path, files, {})

    def read_texts(self, path: Path, files: Sequence[Path], encodings: Mapping[str, str]) -> Tables:
        """Return the same, texts of some files in the encodings that a person names."""
        folder = path.parent if path.is_file() else path
        told: list[Finding] = []
        found = read_each(files, lambda file: _read_file(file, told, encodings.get(file.name)))
        found.findings[:0] = told
        own = {file.name: sidecar.own_place(file) for file in files if sidecar.own_place(file).is_file()}
        common = folder / sidecar.NAME
        documents = {place: sidecar.read(place) for place in (common, *own.values())}
        for name, raw in found.tables.items():
            place = own.get(raw.file, common)
            found.tables[name] = _restored(raw, documents[place], place)
        whole = own.get(files[0].name, common) if len(files) == 1 else common
        document = documents[whole]
        if document and (whole is not common or path.is_dir()):
            with sidecar.unfit_is_damage(whole):
                carried = sidecar.carried_tables(document)
            found.tables |= {name: RawTable(name, whole.name, table) for name, table in carried.items()}
        return found


DRIVER = Shapefile()


def _full_names(short: Collection[str]) -> set[str]:
    """Return the full names that short ones may stand for, in any layer."""
    columns = (column for spec in OWN.values() for column in spec.columns)
    return {column.name for column in columns if sidecar.shortened(column) in short}


def _check_size(layer: Layer) -> None:
    rows = layer.table.num_rows
    shapes = layer.table[GEOMETRY].nbytes + 60 * rows
    attributes = rows * (1 + sum(_width(column, rows) for column in layer.attributes.columns))
    if max(shapes, attributes) > SIZE_LIMIT:
        without = ", or leave it out with [[raw]]" if layer.spec is log_values.SPEC else ""
        raise TargetError(
            f"The layer {layer.name} does not fit into a shapefile",
            why="it would need more than 2 GB",
            remedy=f"Convert to {alternatives('shapefile')} instead{without}.",
        )


def _width(column: pa.ChunkedArray, rows: int) -> int:
    """Return how many bytes a cell of a column takes in a dBASE table."""
    if pa.types.is_timestamp(column.type):
        return len("2026-05-03T10:00:00.000")
    if pa.types.is_string(column.type):
        longest = pc.max(pc.binary_length(column)).as_py() or 1
        return min(TEXT_LIMIT, max(longest, _ORDINARY_WIDTH) if rows < _MANY_ROWS else longest)
    return 24 if pa.types.is_floating(column.type) else 18


def _write_layer(file: Path, layer: Layer, kept: Sequence[sidecar.Stored]) -> list[sidecar.Cell]:
    """Write one shapefile and return the cells that it does not hold as they are."""
    rows = layer.table.num_rows
    shapes, kind = declared(layer)
    arrays, fields = [], []
    for column in kept:
        array = sidecar.storable(layer.table[column.name])
        metadata = None
        if pa.types.is_string(array.type):
            metadata = {"GDAL:OGR:width": str(_width(array, rows))}
            array = _cut(array)
        elif pa.types.is_floating(array.type):
            array = pc.if_else(pc.less(pc.abs(array), _REAL_LIMIT), array, None)
        arrays.append(array)
        fields.append(pa.field(column.short, array.type, metadata=metadata))
    fields.append(pa.field(GEOMETRY, shapes[GEOMETRY].type))
    table = pa.Table.from_arrays([*arrays, shapes[GEOMETRY]], schema=pa.schema(fields))
    pyogrio.write_arrow(
        table,
        file,
        layer=layer.name,
        driver=_DRIVER,
        geometry_name=GEOMETRY,
        geometry_type=kind,
        crs="EPSG:4326",
        encoding="UTF-8",
    )
    return list(sidecar.deviating(layer, read_layer(file, _DRIVER).table, kept))


def _cut(texts: pa.ChunkedArray) -> pa.ChunkedArray:
    """Return texts of at most as many bytes of UTF-8 as a dBASE cell holds, whole characters only."""
    if (pc.max(pc.binary_length(texts)).as_py() or 0) <= TEXT_LIMIT:
        return texts
    cut = [text and text.encode()[:TEXT_LIMIT].decode(errors="ignore") for text in texts.to_pylist()]
    return pa.chunked_array([pa.array(cut, pa.string())])


def _restored(raw: RawTable, document: dict[str, Any] | None, place: Path) -> RawTable:
    """Return a shapefile with what a sidecar, where there is one, knows of it.

    Parameters
    ----------
    document : dict or None
        What stands in the sidecar.
    place : Path
        Where it stands; in that of one shapefile alone its layer may have another name.

    Raises
    ------
    SourceError
        The sidecar is damaged.
    """
    table, name = raw.table, raw.name
    if document and place.name != sidecar.NAME and len(document["layers"]) == 1:
        (name,) = document["layers"]
    spec = SPECS.get(name)
    if document and name in document["layers"]:
        with sidecar.unfit_is_damage(place):
            table = sidecar.restored(table, document["layers"][name], spec)
    elif spec is not None and KEY in table.column_names:
        table = sidecar.lengthened(table, spec)
    return replace(raw, table=table)


def _read_file(path: Path, told: list[Finding], encoding: str | None = None) -> Tables:
    """Return one shapefile as it stands; what is wrong with it is told, also where it cannot be read.

    Raises
    ------
    SourceError
        It cannot be read.
    """
    check_header(path)
    own = (item for item in path.parent.iterdir() if item.stem.lower() == path.stem.lower())
    beside = {item.suffix.lower(): item for item in own if item.is_file()}
    unfit = fitting(path, beside)
    told += [*cut_off(beside), *unfit, *table_findings(path, beside)]
    place = Place(file=path.name)
    try:
        layer = _with_or_without_system(path, beside, told, encoding)
    except (DataSourceError, DataLayerError, pa.ArrowException, UnicodeDecodeError, OSError) as error:
        raise SourceError(
            "The shapefile cannot be read", where=path, why=reason(error), remedy="Copy all its files again."
        ) from error
    if ".shx" not in beside and not unfit:
        told.append(INDEX_REBUILT.at(place, layer=path.name))
    table = layer.table
    if ".dbf" not in beside or table.column_names == [GEOMETRY]:
        told.append(NO_ATTRIBUTES.at(place, layer=path.name))
        table = table.select([GEOMETRY])
    numbers = layer.fids + 1
    raw = RawTable(path.stem, path.name, table, layer.crs, numbers=numbers, encoding=layer.encoding)
    return Tables({path.stem: raw})


def _with_or_without_system(path: Path, beside: Mapping[str, Path], told: list[Finding], encoding: str | None) -> Found:
    """Return table and system of a shapefile; where the system cannot be read, the rest is."""
    try:
        with _findable(path, beside) as file:
            return _read_layer(file, path.name, told, encoding)
    except (DataSourceError, DataLayerError):
        if ".prj" not in beside:
            raise
    others = {kind: item for kind, item in beside.items() if kind != ".prj"}
    with _findable(path, others, copied=True) as file:
        result = _read_layer(file, path.name, told, encoding)
    told.append(UNREADABLE_CRS.at(Place(file=path.name), layer=path.name))
    return result


def _read_layer(file: Path, name: str, told: list[Finding], encoding: str | None) -> Found:
    """Return table and system of a shapefile; letters are guessed where they are not what they are said to be."""
    said, layer = stated(file), None
    if encoding is None:
        with suppress(UnicodeDecodeError):
            layer = read_layer(file, _DRIVER)
    if layer is not None and (said in (None, UTF_8) or not any(non_ascii(layer.table))):
        return layer._replace(encoding=UTF_8)
    layer = read_layer(file, _DRIVER, encoding=BYTES)
    letters = letters_of(layer.table, said) if encoding is None else Letters(encoding, guessed=False)
    if letters.guessed:
        guess = letters.encoding.upper().replace("CP12", "windows-12")
        told.append(LETTERS_GUESSED.at(Place(file=name), layer=name, guess=guess))
    return layer._replace(table=decoded(layer.table, letters.encoding), encoding=letters.encoding)


@contextmanager
def _findable(path: Path, beside: Mapping[str, Path], *, copied: bool = False) -> Iterator[Path]:
    """Yield a path at which all parts of a shapefile are found, the index being rebuilt where it is missing.

    That is the path itself, or one in a temporary folder where letters of names differ in case, the index is missing,
    the path would be taken for an archive, or ``copied`` asks for it: the source is never written to.
    """
    own = [item.name for item in beside.values()]
    findable = own == [path.stem + kind for kind in beside] or own == [item.upper() for item in own]
    if ".shx" in beside and findable and not copied and is_plain(path) and not other_beside(path):
        yield path
        return
    with tempfile.TemporaryDirectory() as folder:
        for kind, item in beside.items():
            shutil.copy(item, Path(folder) / f"layer{kind}")
        with opened_by(_DRIVER, SHAPE_RESTORE_SHX="YES"):
            yield Path(folder) / f"layer{MAIN}"
