"""Which layers in a file this package wrote, told by the names of their columns; what else is there is named."""

from __future__ import annotations

from collections.abc import Collection
from pathlib import Path
from zipfile import BadZipFile

import pyarrow as pa

from taskdata.errors import TaskdataError
from taskdata.file_formats.contents import HEAD
from taskdata.file_formats.declaration import Format, Layers
from taskdata.formats.layers.own import OWN
from taskdata.formats.registry import writer

_UNREADABLE = (TaskdataError, pa.ArrowException, OSError, ValueError, BadZipFile)


def foreign_layers(path: Path, form: Format, *, named: bool) -> list[str]:
    """Return what in a file this package did not write: the file, or of one with several layers these.

    A layer is one of this package's if it has every column of that; rows and values may have been edited since, and
    columns been added.

    Parameters
    ----------
    path : Path
        A regular file.
    form : Format
        The format that it should be of.
    named : bool
        A layer has the name that it is written under, its file in a folder.
    """
    try:
        with path.open("rb") as file:
            if not form.told(file.read(HEAD)):
                return [path.name]
        columns = writer(form.name).column_names(path)
    except _UNREADABLE:
        return [path.name]
    several = form.layers is Layers.SEVERAL
    foreign = [name for name, held in columns.items() if not _is_own(name if named or several else None, held)]
    return [f"{path.name}/{name}" for name in foreign] if several else [path.name for _ in foreign]


def _is_own(name: str | None, held: Collection[str]) -> bool:
    specs = OWN.values() if name is None else [OWN[name]] if name in OWN else []
    return any(set(spec.by_name) <= set(held) for spec in specs)
