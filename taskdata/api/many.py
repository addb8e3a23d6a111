"""Many sources, one after the other."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator
from typing import Unpack

from taskdata.api.dataset import Dataset
from taskdata.api.reading import Source, read
from taskdata.errors import SourceError, TaskdataError, UsageError
from taskdata.exchange.source_search import sources_in
from taskdata.formats.foreign.options import Reading
from taskdata.paths import named_path


def read_many(
    paths: Source | Iterable[Source],
    *,
    partial: bool = False,
    **reading: Unpack[Reading],
) -> Iterator[tuple[str, Dataset | TaskdataError]]:
    """Read many sources, each when it is asked for; what is wrong with one does not end the loop.

    Parameters
    ----------
    paths : path or iterable of path
        Sources as ``read`` takes them, and folders that hold sources at any depth: task data sets, also in archives,
        and layers. Links to folders are not followed.
    partial, **reading
        As for ``read``.

    Yields
    ------
    path : str
        Where the source is, as ``read`` takes it.
    found : Dataset or TaskdataError
        What was read, or why it could not be; whatever is no source yields an error too.

    Examples
    --------
    >>> import taskdata
    >>> for path, found in taskdata.read_many("samples/season"):
    ...     if isinstance(found, taskdata.TaskdataError):
    ...         print(f"left out: {found}")
    ...     else:
    ...         print(path, len(found.fields))
    samples/season/drill/TASKDATA 2
    samples/season/sprayer/TASKDATA 3
    samples/season/spreader/TASKDATA 2
    """
    for path in (paths,) if isinstance(paths, str | os.PathLike) else paths:
        try:
            named_path(path)
        except UsageError as error:
            yield str(path), error
            continue
        for source in sources_in(path):
            yield source, _read(source, partial=partial, **reading)


def _read(source: str, *, partial: bool, **reading: Unpack[Reading]) -> Dataset | TaskdataError:
    try:
        return read(source, partial=partial, **reading)
    except TaskdataError as error:
        return error
    except Exception as error:  # a defect of the program, which costs this source and no other
        told = SourceError("could not be read", where=source, why=f"{type(error).__name__}: {error}".rstrip(": "))
        told.__cause__ = error
        return told
