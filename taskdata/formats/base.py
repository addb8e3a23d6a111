"""What every format driver offers and gives."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import field, replace
from itertools import chain, count
from pathlib import Path
from typing import Protocol, runtime_checkable

import numpy as np
import pyarrow as pa
from numpy.typing import NDArray

from taskdata.dataclass import dataclass
from taskdata.errors import SourceError
from taskdata.file_formats.declaration import Layers
from taskdata.file_formats.table import of_name
from taskdata.findings import Finding, Place
from taskdata.formats.columns import Layer
from taskdata.ledger import Loss
from taskdata.model.carried import Carried
from taskdata.progress import each
from taskdata.raised_rules.import_.unreadable_layer import RULE as UNREADABLE_LAYER


@dataclass(frozen=True)
class RawTable:
    """A table as it stands in a file.

    Parameters
    ----------
    name : str
        Name of the layer: that of its file or table.
    file : str
        Name of the file, for findings.
    table : pyarrow.Table
        Attributes, and last the column ``geometry`` as WKB where there is geometry.
    crs : str or None
        What its coordinates are in, as text that PROJ understands; None = not stated.
    always_wgs84 : bool
        The format says that coordinates are WGS 84 where nothing is stated.
    numbers : int64 (n,) or None
        Which row of the file each row is, from 1; None where every one of them is there.
    heights : str or None
        Why it is not certain that heights are above the ellipsoid of WGS 84; None where they are.
    log : bool
        Its rows are the positions of a log, in the order in which they were recorded.
    layer : str or None
        Name of the layer in its file, where ``name`` is another.
    encoding : str or None
        In which encoding its texts were read, where the format allows several; None = UTF-8.
    """

    name: str
    file: str
    table: pa.Table
    crs: str | None = None
    always_wgs84: bool = False
    numbers: NDArray[np.int64] | None = None
    heights: str | None = "it does not say what they refer to"
    log: bool = False
    layer: str | None = None
    encoding: str | None = None

    def number(self, row: int) -> int:
        """Return which row of the file a row of the table, counted from 0, is, counted from 1."""
        return row + 1 if self.numbers is None else int(self.numbers[row])

    @property
    def label(self) -> str:
        """What to call it: its file, with the name of the layer where that is another."""
        return self.file if Path(self.file).stem == self.name else f"{self.name} in {self.file}"


@dataclass
class Tables:
    """Everything that a driver read, layers and side tables alike, and what was wrong with the files."""

    tables: dict[str, RawTable] = field(default_factory=dict)
    findings: list[Finding] = field(default_factory=list)

    def add(self, table: RawTable) -> None:
        """Put a table beside the others; where its name is taken, its file is named, as of a.json beside a.geojson."""
        alone = table.name == Path(table.file).stem
        others = (f"{table.name} in {table.file} ({number})" for number in count(2))
        names = (table.name, *((table.file,) if alone else ()), f"{table.name} in {table.file}")
        name = next(item for item in chain(names, others) if item not in self.tables)
        self.tables[name] = replace(table, name=name, layer=table.layer or table.name)


def item_paths(tables: Mapping[str, RawTable]) -> dict[str, str]:
    """Return the path of each table below its source: its file, and its layer where a file of its format has several.

    Parameters
    ----------
    tables : mapping of str to RawTable
        All tables of a source.
    """
    files = Counter(raw.file for raw in tables.values())
    return {name: _item_path(raw, files[raw.file]) for name, raw in tables.items()}


def _item_path(raw: RawTable, count: int) -> str:
    form = of_name(Path(raw.file))
    several = count > 1 or (form is not None and form.layers is Layers.SEVERAL)
    return f"{raw.file}/{raw.layer or raw.name}" if several else raw.file


@dataclass(frozen=True, slots=True)
class LayerFiles:
    """The files that layers are written to.

    Parameters
    ----------
    path : Path
        A folder that exists, or the path of one file that does not.
    suffix : str or None
        In a folder the ending of each layer's file; None = ``path`` is one file.
    """

    path: Path
    suffix: str | None = None

    def of(self, layer: Layer) -> Path:
        """Return the file of a layer."""
        return self.path if self.suffix is None else self.path / f"{layer.name}{self.suffix}"


class Reader(Protocol):
    """Reads one format."""

    def read(self, path: Path, files: Sequence[Path]) -> Tables:
        """Return every table of a source.

        Parameters
        ----------
        path : Path
            The file or folder that the user named.
        files : sequence of Path
            That file, or those of the folder that are named as the format is.

        Raises
        ------
        SourceError
            Nothing in it can be read.
        """
        ...


@runtime_checkable
class TextReader(Protocol):
    """Reads a format whose files do not always say in which encoding their texts are."""

    def read_texts(self, path: Path, files: Sequence[Path], encodings: Mapping[str, str]) -> Tables:
        """Return what ``read`` returns, texts of some files in the encodings that a person names.

        Parameters
        ----------
        encodings : mapping of str to str
            Encodings, as Python knows them, by the names of files.
        """
        ...


class Writer(Protocol):
    """Writes one format."""

    def losses(self, layers: Sequence[Layer]) -> list[Loss]:
        """Return what the format cannot hold of the layers; nothing is written.

        Raises
        ------
        TargetError
            The format cannot hold them at all.
        """
        ...

    def write(self, target: LayerFiles, layers: Sequence[Layer], carried: Carried | None) -> None:
        """Write layers and side tables."""
        ...

    def column_names(self, path: Path) -> Mapping[str, Collection[str]]:
        """Return the names of the columns of each layer in a file, of which little is read; one without rows may lack.

        Raises
        ------
        OSError, ValueError
            It cannot be read, or is of another format.
        """
        ...


class Driver(Reader, Writer, Protocol):
    """Reads and writes one format."""


def read_each(files: Sequence[Path], read_file: Callable[[Path], Tables]) -> Tables:
    """Return the tables of several files; one that cannot be read becomes a finding.

    Raises
    ------
    SourceError
        None of them can be read.
    """
    found, errors = Tables(), []
    for file in each(files, "Reading layers", "files"):
        try:
            tables = read_file(file)
        except SourceError as error:
            errors.append(error)
            reason = error.why or error.what
            found.findings.append(UNREADABLE_LAYER.at(Place(file=file.name), layer=file.name, reason=reason))
            continue
        for table in tables.tables.values():
            found.add(table)
        found.findings += tables.findings
    if errors and not found.tables:
        raise errors[0]
    return found
