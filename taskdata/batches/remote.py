"""Sources and results on any file system that fsspec knows, such as ``s3://`` and ``memory://``.

A source is copied to this machine before it is read. A file of a result is put at once; of a result that is a folder,
the record that is written after it says that all of it is there.
"""

from __future__ import annotations

import io
import posixpath
import tempfile
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager, suppress
from functools import cached_property, partial
from pathlib import Path
from typing import Any, BinaryIO

from taskdata.batches.extra import required
from taskdata.dataclass import dataclass
from taskdata.errors import SourceError, TargetError, UsageError
from taskdata.exchange.source_search import sources_below
from taskdata.isoxml.files.archives import Archive, is_archive_name
from taskdata.isoxml.files.blob import Blob, UnreadableFileError
from taskdata.isoxml.files.folders import Folder, main_in

_REMEDY = "Check the address, and that this machine may reach it"


def sources_at(url: str) -> Iterator[str]:
    """Yield the URL of every source that a URL is or holds; itself where there is none."""
    system, path = file_system(url)
    try:
        is_file = system.isfile(path)
        folder: Folder = RemoteFolder(system, path, {} if is_file else _tree(system, path))
        if is_file and is_archive_name(path):
            folder = Archive(url, _opener(system, path)).root
        found = [] if is_file and not is_archive_name(path) else sources_below(folder)
    except Exception:  # whatever the library of the file system raises; reading the source says why
        found, is_file = [], True
    if is_file and len(found) < 2:
        found = []
    yield from (f"{url}/{inner}" if inner else url for inner in found or [""])


@contextmanager
def fetched(url: str) -> Iterator[str]:
    """Give the path of a copy of a source on this machine, which is removed afterwards.

    Of a set these are the files in its folder, of a file also those of its name with other endings, of another folder
    all that lies in it, of a thing in an archive the whole archive.

    Raises
    ------
    SourceError
        Nothing is there, or it cannot be read.
    """
    system, path = file_system(url)
    with tempfile.TemporaryDirectory(prefix="taskdata-") as room:
        try:
            copy = _fetch(system, path, Path(room))
        except Exception as error:  # whatever the library of the file system raises
            raise SourceError("could not be read", where=url, why=_why(error), remedy=_REMEDY) from error
        if copy is None:
            raise SourceError("does not exist", where=url, remedy="Check the path")
        yield str(copy)


def _fetch(system: Any, path: str, room: Path) -> Path | None:
    if not path.strip("/"):
        return None
    if system.isdir(path):
        copy = room / posixpath.basename(path.rstrip("/"))
        whole = main_in(RemoteFolder(system, path)) is None
        for file in system.find(path, maxdepth=None if whole else 1):
            _copy(system, file, copy, file[len(path.rstrip("/")) :].strip("/"))
        return copy
    if not system.isfile(path):  # something in an archive, or nothing
        above = posixpath.dirname(path)
        inner = None if above == path else _fetch(system, above, room) if not system.isdir(above) else None
        return None if inner is None else inner / posixpath.basename(path)
    stem, ending = posixpath.splitext(posixpath.basename(path))
    folder = posixpath.dirname(path)
    beside = [] if is_archive_name(ending) else list(system.ls(folder, detail=False))
    for file in {path, *(item for item in beside if posixpath.basename(item).startswith(f"{stem}."))}:
        _copy(system, file, room, posixpath.basename(file))
    return room / posixpath.basename(path)


def _copy(system: Any, file: str, folder: Path, name: str) -> None:
    """Copy a file below a folder; a name that leads out of it is left behind."""
    target = folder / name
    if name and folder.resolve() in target.resolve().parents:
        target.parent.mkdir(parents=True, exist_ok=True)
        system.get_file(file, str(target))


@dataclass(frozen=True)
class RemoteFolder:
    """A folder of another file system; see ``isoxml.files.folders.Folder``."""

    system: Any
    path: str
    tree: Mapping[str, list[dict[str, Any]]] | None = None
    """Everything below, by folder, where it was listed at once: a request for each folder would take hours."""

    @property
    def where(self) -> str:
        """Its URL."""
        return str(self.system.unstrip_protocol(self.path))

    @property
    def name(self) -> str:
        """Its own name."""
        return posixpath.basename(self.path.rstrip("/"))

    def files(self) -> tuple[Blob, ...]:
        """Return the files in it, by name."""
        found = [item for item in self._entries if item["type"] != "directory"]
        return tuple(
            Blob(posixpath.basename(item["name"]), int(item["size"] or 0), _opener(self.system, item["name"]))
            for item in found
        )

    def folders(self) -> tuple[Folder, ...]:
        """Return the folders in it, by name."""
        found = (item["name"].rstrip("/") for item in self._entries if item["type"] == "directory")
        return tuple(RemoteFolder(self.system, name, self.tree) for name in found)

    def outside(self) -> tuple[str, ...]:
        """Return nothing: such file systems have no links."""
        return ()

    def refuse_names(self) -> None:
        """Refuse nothing: a file system knows each name once."""

    @cached_property
    def _entries(self) -> list[dict[str, Any]]:
        if self.tree is not None:
            return sorted(self.tree.get(self.path.strip("/"), ()), key=lambda item: str(item["name"]))
        try:
            found = self.system.ls(self.path, detail=True)
        except Exception as error:  # whatever the library of the file system raises
            raise OSError(0, _why(error)) from error
        here = self.path.strip("/")  # some list a folder as a file of its own
        return sorted((item for item in found if item["name"].strip("/") != here), key=lambda item: item["name"])


def _tree(system: Any, path: str) -> dict[str, list[dict[str, Any]]]:
    """Return what lies below a path, by folder, of one listing."""
    tree: dict[str, list[dict[str, Any]]] = {}
    for file, item in system.find(path, detail=True).items():
        if file.endswith("/"):
            continue  # some file systems keep a folder as an empty file
        name, entry = file, {"name": file, "type": "file", "size": item.get("size")}
        while name.strip("/") != path.strip("/"):
            above = posixpath.dirname(name)
            known = above.strip("/") in tree
            tree.setdefault(above.strip("/"), []).append(entry)
            if known or not above.strip("/"):
                break
            name, entry = above, {"name": above, "type": "directory", "size": 0}
    return tree


class RemoteOutlet:
    """A folder of results; see ``outlet.Outlet``."""

    def __init__(self, url: str) -> None:
        self.where = url
        self.system, self.root = file_system(url)

    def is_empty(self) -> bool:
        """Tell whether nothing is there yet."""
        with self._telling(self.where):
            return not self.system.exists(self.root) or not RemoteFolder(self.system, self.root)._entries

    def holds(self, path: str) -> bool:
        """Tell whether a file or folder is there."""
        with self._telling(path):
            return bool(self.system.exists(f"{self.root}/{path}"))

    def read(self, path: str) -> str | None:
        """Return the text of a file, None where it is not there."""
        with self._telling(path):
            try:
                return bytes(self.system.cat_file(f"{self.root}/{path}")).decode()
            except (FileNotFoundError, ValueError):
                return None

    def write(self, path: str, content: bytes) -> None:
        """Put a file at once."""
        with self._telling(path):
            self._with_parents(f"{self.root}/{path}", lambda place: self.system.pipe_file(place, content))

    @contextmanager
    def room(self, path: str) -> Iterator[Path]:
        """Give a place on this machine; what stands there afterwards is put, in place of what an earlier call put."""
        with tempfile.TemporaryDirectory(prefix="taskdata-") as room:
            yield Path(room) / posixpath.basename(path)
            for item in sorted(Path(room).iterdir()):
                self._put(item, f"{posixpath.dirname(path)}/{item.name}")

    def _put(self, item: Path, path: str) -> None:
        place = f"{self.root}/{path}"
        with self._telling(path):
            if item.is_dir() and self.system.exists(place):
                self.system.rm(place, recursive=True)
            for file in [item] if item.is_file() else sorted(item.rglob("*")):
                if file.is_file():
                    below = file.relative_to(item).as_posix()
                    target = place if file is item else f"{place}/{below}"
                    self._with_parents(target, partial(self.system.put_file, str(file)))

    def _with_parents(self, place: str, put: Callable[[str], object]) -> None:
        """Put a file; where the file system wants its folder to be there first, make it."""
        try:
            put(place)
        except FileNotFoundError:
            self.system.makedirs(posixpath.dirname(place), exist_ok=True)
            put(place)

    @contextmanager
    def _telling(self, path: str) -> Iterator[None]:
        try:
            yield
        except Exception as error:  # whatever the library of the file system raises
            where = path if path == self.where else f"{self.where}/{path}"
            raise TargetError("could not be written", where=where, why=_why(error), remedy=_REMEDY) from error


def file_system(url: str) -> tuple[Any, str]:
    """Return the file system of a URL, without a memory of what it listed, and the path in it.

    Raises
    ------
    UsageError
        There is no such file system, or what it needs is not installed.
    """
    try:
        return required("fsspec.core").url_to_fs(url, use_listings_cache=False)  # type: ignore[no-any-return]
    except (ImportError, ValueError, TypeError) as error:
        raise UsageError("is on no file system that is known", where=url, why=_why(error)) from error


def _opener(system: Any, path: str) -> Callable[[], BinaryIO]:
    def open_file() -> BinaryIO:
        try:
            return io.BufferedReader(system.open(path, "rb"))
        except Exception as error:  # whatever the library of the file system raises
            raise UnreadableFileError("cannot be read", where=path, why=_why(error), remedy=_REMEDY) from None

    return open_file


def _why(error: Exception) -> str:
    text = str(error)
    with suppress(AttributeError):
        text = getattr(error, "strerror", None) or text
    return " ".join(f"{type(error).__name__}: {text}".split())[:200]
