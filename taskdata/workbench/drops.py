"""Files that were dropped on the page: kept in one archive, so that no name of theirs is a path on this computer."""

from __future__ import annotations

import asyncio
import zipfile
from collections.abc import AsyncIterator
from contextlib import suppress
from pathlib import Path, PurePosixPath

from taskdata.errors import UsageError
from taskdata.file_formats.table import FORMATS
from taskdata.limits import most

ZIP = ".zip"
_NAME_LENGTH = 200


class Drop:
    """One drop while it arrives: a single file that the program reads alone, or an archive of all files.

    Parameters
    ----------
    folder : Path
        Where it is kept.
    number : int
        Its number among the drops.
    most : int
        So many bytes may arrive in all.
    """

    def __init__(self, folder: Path, number: int, most: int) -> None:
        self.number = number
        self._folder, self._most = folder, most
        self._taken = 0
        self._one_by_one = asyncio.Lock()
        self._archive: zipfile.ZipFile | None = None
        self._names: dict[str, str] = {}
        self._broken = self._forgotten = False
        self.path: Path | None = None

    async def take(self, name: str, content: AsyncIterator[bytes], *, alone: bool) -> None:
        """Keep one file.

        Parameters
        ----------
        name : str
            Its path below what was dropped, as the browser says it: a word for people and for the archive, never a
            path here.
        content : async iterator of bytes
        alone : bool
            It is all that was dropped.

        Raises
        ------
        UsageError
            It is more than may arrive.
        """
        async with self._one_by_one:
            self._refuse_broken()
            self._broken = True  # until all of it has arrived
            await self._kept(name, content, alone=alone)
            self._broken = False

    async def _kept(self, name: str, content: AsyncIterator[bytes], *, alone: bool) -> None:
        inside = self._inside(name)
        self._names[inside] = name
        suffix = PurePosixPath(inside).suffix.lower()
        if alone and suffix in _single_suffixes():
            self.path = self._folder / f"drop-{self.number}{suffix}"
            with self.path.open("xb") as file:
                async for chunk in content:
                    file.write(self._counted(chunk, name))
            return
        if self._archive is None:
            self.path = self._folder / f"drop-{self.number}{ZIP}"
            self._archive = zipfile.ZipFile(self.path, "x", zipfile.ZIP_STORED)
        with self._archive.open(zipfile.ZipInfo(inside), "w", force_zip64=True) as member:
            async for chunk in content:
                member.write(self._counted(chunk, name))

    def finish(self) -> Path:
        """Return the file that holds the drop.

        Raises
        ------
        UsageError
            Nothing was dropped, or not all of it arrived.
        """
        self._refuse_broken()
        if self._archive is not None:
            self._archive.close()
        if self.path is None:
            raise UsageError("nothing was dropped", remedy="Drop a stick's folder, an archive or files")
        return self.path

    def forget(self) -> None:
        """Remove what has arrived; what still arrives is refused."""
        self._forgotten = True
        if self.path is not None:
            with suppress(OSError):
                self.path.unlink(missing_ok=True)

    @property
    def files(self) -> int:
        """How many files have arrived."""
        return len(self._names)

    @property
    def label(self) -> str:
        """What people call it: its only file, or the folder that all of it lies in; blank where there is neither."""
        if len(self._names) == 1:
            return next(iter(self._names))
        tops = {PurePosixPath(name).parts[0] for name in self._names}
        return tops.pop() if len(tops) == 1 else ""

    @property
    def kept(self) -> tuple[tuple[str, str], ...]:
        """Files that are kept under another name than their own: both names."""
        return tuple((name, inside) for inside, name in self._names.items() if _plain(name) != inside)

    def _inside(self, name: str) -> str:
        """Return a name in the archive that no file has yet: the second file of a name is kept beside the first."""
        if len(self._names) >= most("archive_files"):
            raise UsageError(
                "is one file more than may be dropped",
                where=name,
                why=f"the limit is {most('archive_files')} files",
                remedy="Drop fewer files",
            )
        found = inside = inner_name(name, len(self._names))
        number = 1
        while found in self._names:
            number += 1
            found = f"copy-{number}/{inside}"
        return found

    def _refuse_broken(self) -> None:
        self._refuse_forgotten()
        if self._broken:
            raise UsageError("a file of the drop did not arrive as a whole", remedy="Drop the files again")

    def _refuse_forgotten(self) -> None:
        if self._forgotten:
            raise UsageError("this drop was ended", why="another one was begun", remedy="Drop the files again")

    def _counted(self, chunk: bytes, name: str) -> bytes:
        self._refuse_forgotten()
        self._taken += len(chunk)
        if self._taken > self._most:
            raise UsageError(
                "is more than may be dropped",
                where=name,
                why=f"the limit is {self._most >> 20} MB",
                remedy="Drop less, or start the workbench with a larger limit",
            )
        return chunk


def inner_name(name: str, number: int) -> str:
    """Return the name of a file in its archive: relative, without what could lead out of a folder."""
    parts = [part for part in name.replace("\\", "/").split("/") if part not in {"", ".", ".."}]
    kept = ["".join(letter for letter in part if letter.isprintable() and letter not in ':*?"<>|') for part in parts]
    inside = "/".join(part.strip() for part in kept if part.strip().strip("."))
    return inside if inside and len(inside.encode()) <= _NAME_LENGTH else f"file-{number}"


def _plain(name: str) -> str:
    return name.replace("\\", "/").strip("/")


def _single_suffixes() -> set[str]:
    return {ZIP, ".xml"} | {suffix for form in FORMATS for suffix in form.suffixes}
