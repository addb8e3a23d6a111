"""``taskdata.catalogue``: the sets of an archive as one GeoParquet data set."""

from __future__ import annotations

import os
import shutil
from contextlib import suppress
from typing import Unpack

from taskdata.archives.adding import Adding
from taskdata.archives.place import carry_over, foreign, refuse_foreign, sign
from taskdata.batches.pool import usual_workers
from taskdata.errors import SourceError, UsageError
from taskdata.formats.foreign.options import Reading
from taskdata.paths import named_path, target_path
from taskdata.results.batch import Batch
from taskdata.staging import staged

Source = str | os.PathLike[str]


class _NothingNewError(Exception):
    """There is nothing to add, so that the catalogue stays as it is."""


def catalogue(folder: Source, out: Source, *, workers: int | None = None, **reading: Unpack[Reading]) -> Batch:
    """Put every set below a folder into a catalogue; called again, add what is new and touch nothing else.

    The catalogue is a folder of Parquet that any GIS, geopandas or a query engine reads: ``fields``, ``guidance``,
    ``logs``, ``findings`` and ``sets`` as GeoParquet, ``tasks`` and ``machines`` without geometry, each in folders
    ``year=2024``, or ``year=unknown`` without dates. The same thing in many sets has one ``identity``, by the steps of
    ``merge``. Columns and years are described in ``schemas/README.md``.

    Parameters
    ----------
    folder : path
        The archive: sets as ``read`` takes them, at any depth, also in archives.
    out : path
        The catalogue: a new folder, or that of an earlier call. A set is known by the hash of its content, wherever it
        lies now; rows of sets that are gone stay.
    workers : int, optional
        Processes that read sets at a time; default: one for each processor.
    **reading
        As for ``read``, for every set that is read; what is in the catalogue is not read again for other ones.

    Returns
    -------
    Batch
        A row for each source, by path: ``kept`` where it was in the catalogue, ``error`` where it could not be read;
        ``counts`` are its rows by layer. ``exit_code`` is 1 where something could not be read.

    Raises
    ------
    UsageError
        A path is none, or there is no worker.
    SourceError
        The folder holds nothing that can be read.
    TargetError
        ``out`` holds something else, is written by another call, or cannot be written; it stays as it was.

    Notes
    -----
    Workers are processes that import the main module of a script: call this below ``if __name__ == "__main__":``.

    Examples
    --------
    >>> import taskdata
    >>> done = taskdata.catalogue("samples/season", "archive", workers=1)
    >>> [(item.source, item.counts["fields"]) for item in done.sources][0]
    ('samples/season/drill/TASKDATA', 2)
    >>> [item.kept for item in taskdata.catalogue("samples/season", "archive", workers=1).sources]
    [True, True, True]
    """
    place = target_path(out)
    count = usual_workers() if workers is None else workers
    if count < 1:
        raise UsageError("there has to be one worker at least", where=str(count), remedy="Give [[workers=1]] or more")
    _refuse_missing(folder)
    refuse_foreign(place)
    adding = Adding(os.fspath(folder), place, count, reading)
    with suppress(_NothingNewError), staged(place, overwrite=True, foreign=foreign) as fresh:
        carry_over(place, fresh)
        room = fresh.with_name("rows")
        room.mkdir()
        new = adding.into(fresh, room)
        shutil.rmtree(room)
        if not new:
            raise _NothingNewError
        sign(fresh)
    return Batch("catalogue", os.fspath(out), tuple(adding.done))


def _refuse_missing(folder: Source) -> None:
    place = named_path(folder)
    if not place.exists():
        raise SourceError("does not exist", where=place, remedy="Check the path")
