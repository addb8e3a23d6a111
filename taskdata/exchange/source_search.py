"""Every source in a folder tree: task data sets, also in archives, and layers."""

from __future__ import annotations

import os
from collections.abc import Iterator

from taskdata.errors import SourceError
from taskdata.exchange.finding_sets import find_sets
from taskdata.exchange.found.things import Found, Thing
from taskdata.exchange.found.walking import everything_in
from taskdata.isoxml.files.archives import is_archive_name
from taskdata.isoxml.files.folders import DiskFolder
from taskdata.isoxml.files.opening import is_file_set
from taskdata.paths import named_path


def sources_in(path: str | os.PathLike[str]) -> Iterator[str]:
    """Yield the path of every source that ``path`` is or holds, each as ``read`` takes it.

    A path that is one source is yielded as it is, and so is one in which there is none: reading it says why. Links to
    folders are not followed; of archives those that hold sets or layers count. Layers beside each other in a folder or
    an archive are one source.
    """
    place = named_path(path)
    try:
        found = None if not place.is_dir() or is_file_set(place) else everything_in(DiskFolder(place))
    except (OSError, SourceError):  # reading it says why
        found = None
    if found is None:
        yield from find_sets(path)
        return
    sources = dict(sorted(_sources(found), key=lambda item: item[1]))
    yield from [os.path.join(path, below) for below in sources] or [os.fspath(path)]


def _sources(found: Found) -> Iterator[tuple[str, list[tuple[int, str]]]]:
    """Yield the path of each source below the folder, and its rank: files before the folders beside them."""
    for place in (*(thing.path for thing in found.sets), *(place for place, _ in found.closed)):
        yield place, _rank(place)
    for thing in found.layers:
        home = _home(thing)
        inside = [other for other in found.things if _lies_in(other.path, home)]
        if all(_home(other) == home and not other.is_set for other in inside):
            yield home, _rank(home)
        else:
            yield thing.path, [*_rank(thing.path)[:-1], (0, thing.path)]


def _rank(path: str) -> list[tuple[int, str]]:
    return [(1, part) for part in path.split("/")]


def _home(thing: Thing) -> str:
    """Return the path of the outermost archive that a thing lies in, else of its folder."""
    parts = thing.path.split("/")
    archive = next((at for at, part in enumerate(parts[:-1]) if is_archive_name(part)), len(parts) - 2)
    return "/".join(parts[: archive + 1])


def _lies_in(path: str, home: str) -> bool:
    return not home or path.startswith(f"{home}/")
