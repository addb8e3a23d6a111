"""Every source in a folder tree: task data sets, also in archives, and layers."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

from taskdata.exchange.load import find_sets
from taskdata.exchange.zipped_layers import packed_layers
from taskdata.file_formats.table import formats_of_layers
from taskdata.formats.detect import detect
from taskdata.isoxml.files.archives import is_archive_name
from taskdata.isoxml.files.folders import DiskFolder, main_in
from taskdata.isoxml.files.opening import every_set, is_file_set
from taskdata.litter import entries
from taskdata.paths import named_path


def sources_in(path: str | os.PathLike[str]) -> Iterator[str]:
    """Yield the path of every source that ``path`` is or holds, each as ``read`` takes it.

    A path that is one source is yielded as it is, and so is one in which there is none: reading it says why. Links to
    folders are not followed; of archives those that hold sets or layers count.
    """
    place = named_path(path)
    try:
        alone = not place.is_dir() or is_file_set(place)
    except OSError:  # reading it says why
        alone = True
    if alone:
        yield from find_sets(path)
        return
    nothing = True
    for found in _below(place):
        nothing = False
        yield found
    if nothing:
        yield os.fspath(path)


def _below(folder: Path) -> Iterator[str]:
    """Yield the sources of a folder and of the folders in it, by name."""
    try:
        inside = entries(folder)
        own = [str(folder)] if main_in(DiskFolder(folder)) is not None else list(_layers(folder, inside))
    except OSError:  # reading it says why
        yield str(folder)
        return
    yield from own
    for item in inside:
        if item.is_dir() and not item.is_symlink():
            yield from _below(item)
        elif is_archive_name(item.name) and item.is_file():
            yield from every_set(item) or _layers_packed(item)


def _layers_packed(archive: Path) -> Iterator[str]:
    if packed_layers(archive) is not None:
        yield str(archive)


def _layers(folder: Path, inside: list[Path]) -> Iterator[str]:
    """Yield a folder of layers, and the files of layers in it that are read each by itself."""
    together = detect(folder)
    if together is not None:
        yield str(folder)
    for form in formats_of_layers():
        if form.reads and form.name != together:
            yield from (str(item) for item in inside if item.is_file() and form.is_told_by_name(item))
