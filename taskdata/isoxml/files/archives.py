"""Zip archives, and archives in them, as folders, within limits that they share."""

from __future__ import annotations

import io
import tempfile
import zipfile
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import field
from functools import cached_property
from pathlib import PurePosixPath
from typing import IO, BinaryIO
from weakref import finalize

from taskdata import limits
from taskdata.dataclass import dataclass
from taskdata.errors import SourceError
from taskdata.isoxml.files.blob import Blob, UnreadableFileError
from taskdata.isoxml.files.set_files import is_plain_name
from taskdata.litter import is_litter
from taskdata.packed import FAULTS, REMEDY, Unpacked

IN_MEMORY = 64 << 20
"""Bytes up to which a file of an archive is unpacked in memory; larger ones are unpacked to temporary files."""
PIECE = 1 << 20


def is_archive_name(name: str) -> bool:
    """Tell whether a file is called as an archive."""
    return name.lower().endswith(".zip")


@dataclass(eq=False)
class Archive:
    """One archive, listed when it is first asked for.

    Parameters
    ----------
    where : str
        Path for messages.
    opener : callable
        Gives its bytes, to be read from anywhere.
    depth : int
        How many archives it lies in.
    """

    where: str
    opener: Callable[[], BinaryIO]
    depth: int = 0
    unpacked: Unpacked = field(default_factory=Unpacked)

    @property
    def root(self) -> ArchiveFolder:
        """What stands at its top."""
        return ArchiveFolder(self, PurePosixPath())

    @cached_property
    def tree(self) -> dict[PurePosixPath, _Entries]:
        """Files and folders by the folder that they stand in; a member that leads outside is none."""
        try:
            members = [info for info in self._opened.infolist() if not info.is_dir()]
        except FAULTS as error:
            raise self._damaged(error) from None
        self.unpacked.take(self.where, members)
        tree: dict[PurePosixPath, _Entries] = {PurePosixPath(): _Entries()}
        for info in members:
            path = _path(info)
            if ".." in path.parts[:-1] or not path.name:
                continue
            tree.setdefault(path.parent, _Entries()).files.append((path.name, info))
            for folder in path.parents:
                if folder.parts:
                    tree.setdefault(folder.parent, _Entries()).folders.add(folder.name)
        return tree

    def holds(self, wanted: Callable[[PurePosixPath], bool]) -> bool:
        """Tell whether the name of a file in it is one that is wanted."""
        return any(wanted(PurePosixPath(name)) for entries in self.tree.values() for name, _ in entries.files)

    def file(self, name: str, info: zipfile.ZipInfo) -> Blob:
        """Return a member as a file."""

        def read() -> BinaryIO:
            with self.member(info) as member:
                if info.file_size > IN_MEMORY:
                    return _on_disk(member)
                content = member.read(info.file_size + 1)
            return io.BytesIO(content[: info.file_size])

        return Blob(name, info.file_size, read)

    @contextmanager
    def member(self, info: zipfile.ZipInfo) -> Iterator[IO[bytes]]:
        """Give the bytes of a member, unpacked as they are read.

        Raises
        ------
        UnreadableFileError
            It is damaged; also while it is read.
        """
        try:
            with self._opened.open(info) as member:
                yield member
        except UnreadableFileError:
            raise
        except FAULTS as error:
            why = error.why if isinstance(error, SourceError) else str(error)
            where, remedy = f"{self.where}/{info.filename}", "Copy the archive again from the original"
            raise UnreadableFileError("is damaged in the archive", where=where, why=why, remedy=remedy) from None

    def inner(self, path: PurePosixPath, blob: Blob) -> Archive:
        """Return a member that is an archive itself; it counts against the limit of this one.

        Raises
        ------
        SourceError
            It lies in too many archives, or is too large to be held in memory.
        """
        where = f"{self.where}/{path}"
        if self.depth >= limits.most("archive_levels"):
            what = f"is nested in more than {limits.most('archive_levels')} archives"
            raise SourceError(what, where=where, remedy=f"{REMEDY}. {limits.raising('archive_levels')}")
        if blob.size > limits.most("archive_inner"):
            what, why = f"is an archive of {blob.size} bytes in an archive", limits.told("archive_inner")
            raise SourceError(what, where=where, why=why, remedy="Unpack the outer one and name it")
        return Archive(where, _Held(blob), self.depth + 1, self.unpacked)

    @cached_property
    def _opened(self) -> zipfile.ZipFile:
        """The archive, opened once, as its whole directory is read for that; closed when nobody needs it any more."""
        stream = self.opener()
        try:
            opened = zipfile.ZipFile(stream)
        except BaseException:
            stream.close()
            raise
        finalize(self, stream.close)
        return opened

    def _damaged(self, error: Exception) -> SourceError:
        if isinstance(error, SourceError):
            return error
        remedy = "Copy it again from the original"
        return SourceError("is a damaged zip archive", where=self.where, why=str(error), remedy=remedy)


@dataclass(eq=False)
class _Entries:
    """What stands in one folder of an archive."""

    files: list[tuple[str, zipfile.ZipInfo]] = field(default_factory=list)
    folders: set[str] = field(default_factory=set)

    @cached_property
    def by_name(self) -> dict[str, zipfile.ZipInfo]:
        """Entries of files by their names; asked for once all are there."""
        return dict(self.files)


@dataclass(eq=False)
class _Held:
    """The bytes of an archive in an archive, unpacked once."""

    blob: Blob
    content: bytes | None = None

    def __call__(self) -> BinaryIO:
        if self.content is None:
            self.content = self.blob.read()
        return io.BytesIO(self.content)


@dataclass(frozen=True, eq=False)
class ArchiveFolder:
    """A folder in an archive, or all that stands at its top."""

    archive: Archive
    path: PurePosixPath

    @property
    def where(self) -> str:
        """Path of the archive, and the path in it."""
        return f"{self.archive.where}/{self.path}" if self.path.parts else self.archive.where

    @property
    def name(self) -> str | None:
        """Its own name, None for the top of the archive."""
        return self.path.name or None

    def files(self) -> tuple[Blob, ...]:
        """Return the files in it."""
        found = sorted(self._entries.files, key=lambda item: item[0])
        return tuple(self.archive.file(name, info) for name, info in found)

    def entry(self, name: str) -> zipfile.ZipInfo:
        """Return the entry of a file in it; of two of one name the later."""
        return self._entries.by_name[name]

    def folders(self) -> tuple[ArchiveFolder, ...]:
        """Return the folders in it."""
        names = (name for name in sorted(self._entries.folders) if not is_litter(name))
        return tuple(ArchiveFolder(self.archive, self.path / name) for name in names)

    def outside(self) -> tuple[str, ...]:
        """Return nothing: a link in an archive is a file with a path in it, and read as such."""
        return ()

    def refuse_names(self) -> None:
        """Refuse a name that is no name of a file, and one that stands twice: which one counts would be a guess."""
        for name, count in Counter(name for name, _ in self._entries.files if not is_litter(name)).items():
            if count > 1 or not is_plain_name(name):
                told = f"{name} more than once" if count > 1 else f"a file with the name {name}"
                raise SourceError(f"is a zip archive that holds {told}", where=self.archive.where, remedy=REMEDY)

    @property
    def _entries(self) -> _Entries:
        return self.archive.tree.get(self.path, _Entries())


def _on_disk(member: IO[bytes]) -> BinaryIO:
    """Return a member unpacked to a temporary file, which is gone when it is closed.

    Raises
    ------
    UnreadableFileError
        There is no room for it.
    """
    held = tempfile.TemporaryFile(prefix="taskdata-")  # noqa: SIM115  # closed by whoever reads it
    try:
        while piece := member.read(PIECE):
            _keep(held, piece)
        held.seek(0)
    except BaseException:
        held.close()
        raise
    return held


def _keep(held: IO[bytes], piece: bytes) -> None:
    try:
        held.write(piece)
        held.flush()
    except OSError as error:
        raise UnreadableFileError(
            "has no room for a large file of an archive",
            where=tempfile.gettempdir(),
            why=error.strerror or str(error),
            remedy="Make room there, or unpack the archive by hand and name the folder",
        ) from error


def _path(info: zipfile.ZipInfo) -> PurePosixPath:
    """Return the path of a member; some programs write it with backslashes, or from the root on."""
    return PurePosixPath(info.filename.replace("\\", "/").lstrip("/"))
