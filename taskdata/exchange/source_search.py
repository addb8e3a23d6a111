"""Every source in a folder tree: task data sets, also in archives, and layers."""

from __future__ import annotations

import os
from collections.abc import Iterator

from taskdata.dataclass import dataclass
from taskdata.errors import SourceError
from taskdata.exchange.finding_sets import find_sets
from taskdata.exchange.found.things import Found, Thing, below
from taskdata.exchange.found.walking import TooManyFilesError, everything_in
from taskdata.isoxml.files.archives import is_archive_name
from taskdata.isoxml.files.blob import Blob
from taskdata.isoxml.files.folders import DiskFolder, Folder, main_in
from taskdata.isoxml.files.opening import is_file_set
from taskdata.isoxml.files.survey import archive_in
from taskdata.paths import named_path


def sources_in(path: str | os.PathLike[str]) -> Iterator[str]:
    """Yield the path of every source that ``path`` is or holds, each as ``read`` takes it.

    A path that is one source is yielded as it is, and so is one in which there is none: reading it says why. Links to
    folders are not followed; of archives those that hold sets or layers count. Layers beside each other in a folder or
    an archive are one source. A folder of too many files for one search is searched folder by folder; of layers in it
    each file is a source.
    """
    place = named_path(path)
    try:
        folder = DiskFolder(place) if place.is_dir() and not is_file_set(place) else None
        found = None if folder is None else sources_below(folder)
    except (OSError, SourceError):  # reading it says why
        found = None
    if found is None:
        yield from find_sets(path)
        return
    yield from [os.path.join(path, inner) for inner in found] or [os.fspath(path)]


def sources_below(folder: Folder) -> list[str]:
    """Return the path below a folder of every source in it, files before the folders beside them.

    Raises
    ------
    SourceError
        It cannot be looked into.
    """
    try:
        found = everything_in(folder)
    except TooManyFilesError:
        return list(dict.fromkeys(_by_folder(folder)))
    return list(dict(sorted(_sources(found), key=lambda item: item[1])))


def _by_folder(folder: Folder) -> Iterator[str]:
    """Yield the sources in a folder that is too much for one search: its files, then each folder and archive in it."""
    files = folder.files()
    plain = tuple(blob for blob in files if not is_archive_name(blob.name))
    try:
        yield from (thing.path for thing in everything_in(_Files(folder, plain)).things)
    except TooManyFilesError:
        if main_in(folder) is not None:  # more files than a set has: reading it says why
            yield ""
    for inner in folder.folders():
        if not (isinstance(inner, DiskFolder) and inner.path.is_symlink()):
            yield from _inside(inner, inner.name or "")
    for blob in files:
        if is_archive_name(blob.name):
            try:
                root = archive_in(folder, blob).root
            except SourceError:
                yield blob.name
            else:
                yield from _inside(root, blob.name)


def _inside(folder: Folder, name: str) -> Iterator[str]:
    """Yield the sources in a folder with its name before them; itself where it cannot be looked into."""
    try:
        yield from (below(name, path) if path else name for path in sources_below(folder))
    except (OSError, SourceError):
        yield name


@dataclass(frozen=True)
class _Files:
    """The files of a folder, without the folders in it."""

    folder: Folder
    plain: tuple[Blob, ...]

    @property
    def where(self) -> str:
        """Its path for messages."""
        return self.folder.where

    @property
    def name(self) -> str | None:
        """Its own name."""
        return self.folder.name

    def files(self) -> tuple[Blob, ...]:
        """Return the files that count."""
        return self.plain

    def folders(self) -> tuple[Folder, ...]:
        """Return nothing."""
        return ()

    def outside(self) -> tuple[str, ...]:
        """Return the links that lead out of it."""
        return self.folder.outside()

    def refuse_names(self) -> None:
        """Refuse names of files that cannot be those of a set."""
        self.folder.refuse_names()


def _sources(found: Found) -> Iterator[tuple[str, list[tuple[int, str]]]]:
    """Yield the path of each source below the folder, and its rank: files before the folders beside them."""
    for place in (*(thing.path for thing in found.sets), *(place for place, _ in found.closed)):
        yield place, _rank(place)
    homes: dict[str, bool] = {}
    for thing in found.layers:
        home = _home(thing)
        if home not in homes:
            inside = [other for other in found.things if _lies_in(other.path, home)]
            homes[home] = all(_home(other) == home and not other.is_set for other in inside)
        if homes[home]:
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
