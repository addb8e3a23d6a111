"""Every source below the paths that a caller names, each with the name of its result."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator
from importlib import import_module
from pathlib import Path
from urllib.parse import unquote, urlsplit

from taskdata.batches.naming import result_name
from taskdata.batches.unit import Call, Unit
from taskdata.errors import SourceError, UsageError
from taskdata.exchange.found.locating import locate
from taskdata.exchange.source_search import sources_below
from taskdata.isoxml.files.archives import ArchiveFolder
from taskdata.paths import named_path
from taskdata.progress import each

_REMOTE = "taskdata.batches.remote"


def units_of(call: Call, sources: Iterable[str | os.PathLike[str]]) -> list[Unit]:
    """Return a unit for every source, by path; one that is named twice counts once.

    Raises
    ------
    UsageError
        No source is named, or two have one name of a result.
    """
    named = [local(path) for path in sources]
    if not named:
        raise UsageError("no source is named", remedy="Give folders, archives or files")
    units: dict[str, Unit] = {}
    for path in each(named, "Looking for sources", "places"):
        for source in sources_at(path):
            place = source if is_url(source) else os.path.abspath(source)
            units.setdefault(place, Unit(call, source, place, result_name(source)))
    names: dict[str, Unit] = {}
    for unit in units.values():
        other = names.setdefault(unit.name, unit)
        if other is not unit:
            remedy = "Run them into two folders"
            raise UsageError(f"would have the result name of {other.source}", where=unit.source, remedy=remedy)
    return sorted(units.values(), key=lambda unit: unit.source)


def sources_at(path: str) -> Iterator[str]:
    """Yield every source that a path or URL is or holds; itself where there is none, so that reading it says why."""
    if is_url(path):
        yield from import_module(_REMOTE).sources_at(path)
        return
    try:
        located = locate(named_path(path))
        found = [] if located is None or located.blob is not None else sources_below(located.folder)
    except (SourceError, OSError):  # reading it says why
        located, found = None, []
    if len(found) < 2 and located is not None and isinstance(located.folder, ArchiveFolder):
        found = []  # the archive is the source
    yield from (os.path.join(path, inner) if inner else path for inner in found or [""])


def is_url(path: str) -> bool:
    """Tell whether a path is that of another file system."""
    return "://" in path


def local(path: str | os.PathLike[str], what: str = "source") -> str:
    """Return a path as text, without a slash at its end; of a URL of this machine, its path.

    Raises
    ------
    UsageError
        It is empty or no path.
    """
    if isinstance(path, str) and is_url(path):
        parts = urlsplit(path)
        return unquote(parts.path) if parts.scheme in {"file", "local"} else path.rstrip("/")
    return str(Path(named_path(path, what)))
