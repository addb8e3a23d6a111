"""What every format driver offers and gives."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Protocol

import numpy as np
import pyarrow as pa
from numpy.typing import NDArray

from taskdata.findings import Finding
from taskdata.formats.columns import Layer
from taskdata.ledger import Loss
from taskdata.model.carried import Carried


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
    """

    name: str
    file: str
    table: pa.Table
    crs: str | None = None
    always_wgs84: bool = False
    numbers: NDArray[np.int64] | None = None
    heights: str | None = "it does not say what they refer to"

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
        """Put a table beside the others, named by its file where its name is taken, as of a.json beside a.geojson."""
        name = table.file if table.name in self.tables else table.name
        self.tables[name] = replace(table, name=name)


class Driver(Protocol):
    """Reads and writes one format."""

    def losses(self, layers: Sequence[Layer], carried: Carried | None) -> list[Loss]:
        """Return what the format cannot hold of the layers; nothing is written.

        Raises
        ------
        TargetError
            The format cannot hold them at all.
        """
        ...

    def write(self, path: Path, layers: Sequence[Layer], carried: Carried | None) -> list[Loss]:
        """Write layers and side tables, and return the ledger.

        Parameters
        ----------
        path : Path
            A folder that exists, or for a format of one file the path of a file that does not.
        """
        ...

    def read(self, path: Path) -> Tables:
        """Return every table of a source.

        Raises
        ------
        SourceError
            Nothing in it can be read.
        """
        ...
