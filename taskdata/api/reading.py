"""One set of any format."""

from __future__ import annotations

import os
from typing import TypeAlias, Unpack

from taskdata.api.dataset import Dataset
from taskdata.exchange.load import load
from taskdata.formats.foreign.options import Reading

Source: TypeAlias = str | os.PathLike[str]


def read(
    source: Source,
    *,
    partial: bool = False,
    **reading: Unpack[Reading],
) -> Dataset:
    """Read a data set of any format, told by its content.

    Parameters
    ----------
    source : path
        A file set of ISO 11783-10 (folder, stick, main file, zip), or layers: a file, or a folder of files, in a
        format of which ``schemas/README.md`` has the table.
    partial : bool
        Leave out layers of which it is not known what their coordinates are in, with a finding, as long as another can
        be read.
    **reading
        What you know about the source; every function that reads takes these arguments:

        crs : str
            Coordinate reference system of layers that do not name one, or an implausible one, such as ``EPSG:25832``;
            ``swapped:EPSG:4326`` where latitude, or north, comes first.
        name_column : str
            Column that holds the names, in layers of other programs; the same as ``columns={"name": ...}``.
        rescue : bool
            Of an XML file of a set that is cut off or damaged read what stands before that place; an error finding
            says where it is and what was read.
        take : str or sequence of str
            Patterns of paths of items, such as ``2025/*.shp``: read only these of a folder or archive.
        mapping : path
            TOML file that says what layers are and what their columns hold, see ``schemas/mapping.schema.json``.
        columns : dict of str to str
            Which column holds what, such as ``{"width": "W_M"}``.
        roles : dict of str to str
            What items are, such as ``{"*.csv": "guidance"}``.
        accept_guess : bool
            Use the coordinate reference system that a layer most likely is in, where it states none or an implausible
            one.
        derive_fields : bool
            Make outlines of fields from swaths and logs where there is no field.

    Returns
    -------
    Dataset
        Coordinates in degrees, WGS 84, longitude first.

    Raises
    ------
    SourceError
        The source could not be read.
    UsageError
        Coordinates are in metres and nothing says in which system.

    Examples
    --------
    >>> import taskdata
    >>> data = taskdata.read("samples/machine")
    >>> [field.name for field in data.fields][:2]
    ['Große Breite', 'Kuhle & "Hölle" (mit Teich)']
    """
    loaded = load(source, partial=partial, **reading)
    return Dataset.of(loaded.dataset.with_changes(source=os.fspath(source)))
