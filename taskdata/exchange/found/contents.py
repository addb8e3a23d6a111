"""The bytes of files on disk and in archives, piece by piece: no file is held in memory for a look at it."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO

from taskdata.errors import SourceError
from taskdata.isoxml.files.archives import ArchiveFolder
from taskdata.isoxml.files.blob import Blob, UnreadableFileError
from taskdata.isoxml.files.folders import Folder
from taskdata.isoxml.files.portable import why_unfit

_PIECE = 1 << 20


def head_of(folder: Folder, blob: Blob, size: int) -> bytes:
    """Return the first bytes of a file, none where it cannot be read; the file says so from then on."""
    try:
        with opened(folder, blob) as stream:
            return stream.read(size)
    except UnreadableFileError as error:
        blob.failed(error)
        return b""


def copy_to(folder: Folder, blob: Blob, target: Path) -> None:
    """Copy a file to the disk.

    Raises
    ------
    SourceError
        It is damaged or has a name that is no file's on every system, or the disk is full; nothing is left at the
        target.
    """
    unfit = why_unfit(blob.name)
    if unfit is not None:
        remedy = "Unpack the archive, rename the file and name the folder"
        raise SourceError("could not be unpacked", where=blob.name, why=unfit, remedy=remedy)
    try:
        with opened(folder, blob) as stream, target.open("wb") as file:
            while piece := stream.read(_PIECE):
                _write(file, piece, blob)
    except SourceError:
        target.unlink(missing_ok=True)
        raise


def _write(file: IO[bytes], piece: bytes, blob: Blob) -> None:
    try:
        file.write(piece)
    except OSError as error:
        remedy = "Make room on the disk that holds temporary files"
        raise SourceError("could not be unpacked", where=blob.name, why=error.strerror, remedy=remedy) from error


def digest_of(folder: Folder, blobs: tuple[Blob, ...]) -> str | None:
    """Return a digest of files, their names left out; None where one cannot be read."""
    from hashlib import sha256

    whole = sha256()
    try:
        for blob in sorted(blobs, key=lambda item: item.name.rpartition(".")[2].lower() + item.name):
            with opened(folder, blob) as stream:
                while piece := stream.read(_PIECE):
                    whole.update(piece)
            whole.update(b"\0end of file")
    except UnreadableFileError:
        return None
    return whole.hexdigest()


@contextmanager
def opened(folder: Folder, blob: Blob) -> Iterator[IO[bytes]]:
    """Give the bytes of a file, unpacked as they are read.

    Raises
    ------
    UnreadableFileError
        It is damaged, or may not be read; also while it is read.
    """
    if isinstance(folder, ArchiveFolder):
        with folder.archive.member(folder.entry(blob.name)) as member:
            yield member
        return
    try:
        with blob.opener() as stream:
            yield stream
    except OSError as error:
        raise blob.failed(error) from error
