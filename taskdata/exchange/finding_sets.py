"""The sets in a folder, stick or archive, each a source of its own."""

from __future__ import annotations

import os

from taskdata.formats.detect import detect, detect_content
from taskdata.isoxml.files.opening import is_file_set, sets_in
from taskdata.paths import named_path


def find_sets(path: str | os.PathLike[str]) -> tuple[str, ...]:
    """Return the path of every set in a folder, stick or archive, at any depth; each is a source of its own.

    Parameters
    ----------
    path : path
        What may hold several sets, in folders and archives.

    Returns
    -------
    tuple of str
        Paths as ``read`` takes them, the folder TASKDATA of the stick first; beside several sets also those of folders
        and archives that could not be looked into. The path itself where it is that of a set or of layers, or where
        not more than one set is there.

    Examples
    --------
    >>> import taskdata
    >>> taskdata.find_sets("samples/season")[:2]
    ('samples/season/drill/TASKDATA', 'samples/season/sprayer/TASKDATA')
    """
    place = named_path(path)
    try:
        layers = place.is_file() and (detect_content(place) or (None if is_file_set(place) else detect(place)))
    except OSError:  # reading it says why
        layers = None
    return (os.fspath(path),) if layers else sets_in(path)
