"""Files that were dropped on the page: kept in one archive, so that no name of theirs is a path on this computer."""

from __future__ import annotations

import zipfile
from collections.abc import AsyncIterator
from pathlib import Path, PurePosixPath

from taskdata.errors import UsageError
from taskdata.file_formats.table import FORMATS

ZIP = ".zip"
_NAME_LENGTH = 200
_CHUNK = 1 << 20


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
        self._folder, self._number, self._most = folder, number, most
        self._taken = 0
        self._archive: zipfile.ZipFile | None = None
        self.names: list[str] = []
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
        inside = inner_name(name, len(self.names))
        self.names.append(inside)
        suffix = PurePosixPath(inside).suffix.lower()
        if alone and suffix in _single_suffixes():
            self.path = self._folder / f"drop-{self._number}{suffix}"
            with self.path.open("xb") as file:
                async for chunk in content:
                    file.write(self._counted(chunk, name))
            return
        if self._archive is None:
            self.path = self._folder / f"drop-{self._number}{ZIP}"
            self._archive = zipfile.ZipFile(self.path, "x", zipfile.ZIP_STORED)
        with self._archive.open(zipfile.ZipInfo(inside), "w", force_zip64=True) as member:
            async for chunk in content:
                member.write(self._counted(chunk, name))

    def finish(self) -> Path:
        """Return the file that holds the drop.

        Raises
        ------
        UsageError
            Nothing was dropped.
        """
        if self._archive is not None:
            self._archive.close()
        if self.path is None:
            raise UsageError("nothing was dropped", remedy="Drop a stick's folder, an archive or files")
        return self.path

    @property
    def label(self) -> str:
        """What people call it: its only file, or the folder that all of it lies in, or how many files it has."""
        if len(self.names) == 1:
            return self.names[0]
        tops = {PurePosixPath(name).parts[0] for name in self.names}
        return tops.pop() if len(tops) == 1 else f"{len(self.names)} files"

    def _counted(self, chunk: bytes, name: str) -> bytes:
        self._taken += len(chunk)
        if self._taken > self._most:
            raise UsageError(
                "is more than may be dropped",
                where=name,
                why=f"the limit is {self._most >> 20} MB",
                remedy="Start the workbench with a larger limit",
            )
        return chunk


def inner_name(name: str, number: int) -> str:
    """Return the name of a file in its archive: relative, without what could lead out of a folder."""
    parts = [part for part in name.replace("\\", "/").split("/") if part not in {"", ".", ".."}]
    kept = ["".join(letter for letter in part if letter.isprintable() and letter not in ':*?"<>|') for part in parts]
    inside = "/".join(part.strip() for part in kept if part.strip())
    return inside if inside and len(inside.encode()) <= _NAME_LENGTH else f"file-{number}"


def _single_suffixes() -> set[str]:
    return {ZIP, ".xml"} | {suffix for form in FORMATS for suffix in form.suffixes}
