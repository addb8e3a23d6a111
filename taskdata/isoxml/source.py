"""Where the files of a set come from: a folder, a stick, a main file, or a zip of any of them.

A set is one flat folder. Names are looked up without regard to case; no name that contains a path is ever followed, so
neither a file of the set nor a member of an archive can reach outside.
"""

from __future__ import annotations

import io
import lzma
import os
import struct
import zipfile
import zlib
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path, PurePosixPath
from typing import BinaryIO

from taskdata.errors import SourceError
from taskdata.isoxml.folders import FOLDER, MAIN, holds_set, inner_folders, leads_outside, main_in, sets_below

MAX_MEMBERS = 100_000
MAX_UNPACKED = 8 << 30
MAX_RATIO = 200
SMALL_ENOUGH = 64 << 20
_OTHER_LAYERS = {".shp": "a shapefile", ".geojson": "GeoJSON", ".gpkg": "a GeoPackage", ".parquet": "GeoParquet"}
_ZIP_FAULTS = (
    zipfile.BadZipFile,
    OSError,
    NotImplementedError,
    RuntimeError,  # a password is needed
    EOFError,
    ValueError,
    OverflowError,
    LookupError,
    struct.error,
    zlib.error,
    lzma.LZMAError,
)


@dataclass(frozen=True, eq=False)
class Blob:
    """One file of a set, opened on demand: its name as stored, its size in bytes, and how to open it."""

    name: str
    size: int
    opener: Callable[[], BinaryIO]

    @classmethod
    def of(cls, name: str, content: bytes) -> Blob:
        """Make a file from bytes."""
        return cls(name, len(content), lambda: io.BytesIO(content))

    def read(self) -> bytes:
        """Return the whole content."""
        with self.opener() as stream:
            return stream.read()


@dataclass(frozen=True, eq=False)
class FileSet:
    """The files of one set, in the order of their names.

    ``where`` is the path for messages; ``folder`` the name of the folder they lie in, None where unknown. ``crowded``
    tells that the files lie in a folder that need not be that of a set, so that those which the set does not name and
    which are not named like files of a set are none of it; ``outside`` names the links that lead out of the folder and
    were not followed.
    """

    where: str
    files: tuple[Blob, ...]
    folder: str | None = None
    crowded: bool = False
    outside: tuple[str, ...] = ()

    def find(self, name: str) -> Blob | None:
        """Return the file of that name without regard to case, an exact match first; None if there is none."""
        if name != plain_name(name):
            return None
        same = [blob for blob in self.files if blob.name.upper() == name.upper()]
        return next((blob for blob in same if blob.name == name), same[0] if same else None)


def plain_name(name: str) -> str:
    """Return the last part of ``name``; a name that differs from it contains a path and is not followed."""
    return name.replace("\\", "/").rsplit("/", 1)[-1]


def is_plain_name(name: str) -> bool:
    """Tell whether ``name`` is the name of one file in the folder of the set, on any system."""
    return name == plain_name(name) and name not in {"", ".", ".."} and "\0" not in name and name[1:2] != ":"


def is_file_set(path: str | os.PathLike[str]) -> bool:
    """Tell whether ``path`` looks like an ISO 11783-10 set: folder, stick, main file or zip."""
    place = Path(path)
    if place.is_dir():
        return holds_set(place)
    if not place.is_file():
        return False
    with place.open("rb") as stream:
        head = stream.read(4096)
    return head[:4] == b"PK\x03\x04" or _looks_like_xml(head)


def open_file_set(path: str | os.PathLike[str]) -> FileSet:
    """Open a set for reading.

    Raises
    ------
    SourceError
        There is no set at ``path``, it cannot be read, or the archive is damaged or hostile.
    """
    place = Path(path)
    try:
        return _opened(place)
    except (OSError, ValueError) as error:
        raise _unreadable(place, error) from None


def _opened(place: Path) -> FileSet:
    if not place.exists():
        raise SourceError("does not exist", where=place, remedy="Check the path")
    if place.is_dir():
        return _from_folder(place)
    if not place.is_file():
        raise SourceError("is no file and no folder", where=place, remedy="Name the folder of the set or its main file")
    with place.open("rb") as stream:
        head = stream.read(4)
    if not head:
        raise SourceError("is an empty file", where=place, remedy="Copy it again from its source")
    if head == b"PK\x03\x04" or place.suffix.lower() == ".zip":
        return _from_zip(place)
    return _from_main_file(place)


def _unreadable(place: Path, error: OSError | ValueError) -> SourceError:
    why = error.strerror if isinstance(error, OSError) else None
    return SourceError(
        "cannot be read", where=place, why=why or str(error), remedy="Check the path and its permissions"
    )


def _looks_like_xml(head: bytes) -> bool:
    text = head.removeprefix(b"\xef\xbb\xbf").lstrip()
    return text.startswith((b"<", b"\xff\xfe<", b"\xfe\xff\x00<"))


def _listed(names: list[str]) -> str:
    shown = ", ".join(names[:3])
    return shown if len(names) <= 3 else f"{shown} and {len(names) - 3} more"


def _from_folder(place: Path) -> FileSet:
    here = main_in(place) is not None
    inner = [] if here else inner_folders(place)
    folder = place if here else next(iter(inner), None)
    if folder is None:
        deeper = sets_below(place)
        raise SourceError(
            f"holds no {MAIN} and no folder {FOLDER} with one",
            where=place,
            why=f"there are sets deeper, in {_listed(deeper)}" if deeper else None,
            remedy="Name one of them" if deeper else "Name the folder of the set or the root of the stick",
        )
    if len(inner) > 1:
        what = f"holds {len(inner)} sets, in {' and '.join(item.name for item in inner)}"
        raise SourceError(what, where=place, remedy="Name the folder of one")
    return FileSet(str(place), tuple(_disk_files(folder)), folder.resolve().name, outside=_outside(folder))


def _from_main_file(place: Path) -> FileSet:
    """Read the set around a main file; the named file counts as the main one whatever it is called."""
    own = Blob(MAIN if place.name.upper() != MAIN else place.name, place.stat().st_size, _disk_opener(place))
    others = (blob for blob in _disk_files(place.parent) if blob.name not in {place.name, own.name})
    keep = others if place.name.upper() == MAIN else (blob for blob in others if blob.name.upper() != MAIN)
    folder = place.absolute().parent.name
    crowded = folder.upper() != FOLDER
    return FileSet(str(place), (own, *keep), folder, crowded=crowded, outside=() if crowded else _outside(place.parent))


def _disk_files(folder: Path) -> Iterator[Blob]:
    for item in sorted(folder.iterdir()):
        if item.is_file() and not leads_outside(item):
            yield Blob(item.name, item.stat().st_size, _disk_opener(item))


def _outside(folder: Path) -> tuple[str, ...]:
    return tuple(item.name for item in sorted(folder.iterdir()) if leads_outside(item))


def _disk_opener(path: Path) -> Callable[[], BinaryIO]:
    def open_file() -> BinaryIO:
        try:
            return path.open("rb")
        except OSError as error:
            raise _unreadable(path, error) from None

    return open_file


def _from_zip(place: Path) -> FileSet:
    try:
        with zipfile.ZipFile(place) as archive:
            members = [(_member_path(info), info) for info in archive.infolist() if not info.is_dir()]
    except _ZIP_FAULTS as error:
        raise _bad_zip(place, error) from None
    _refuse_bomb(place, [info for _, info in members])
    folder = _folder_in_zip(place, [path for path, _ in members])
    chosen = [(path.name, info) for path, info in sorted(members, key=_by_path) if path.parent == folder]
    _refuse_names(place, [name for name, _ in chosen])
    files = tuple(Blob(name, info.file_size, _zip_opener(place, info)) for name, info in chosen)
    return FileSet(str(place), files, folder.name or None)


def _by_path(member: tuple[PurePosixPath, zipfile.ZipInfo]) -> str:
    return str(member[0])


def _member_path(info: zipfile.ZipInfo) -> PurePosixPath:
    """Return the path of a member; some programs write it with backslashes."""
    return PurePosixPath(info.filename.replace("\\", "/"))


def _bad_zip(place: Path, error: Exception) -> SourceError:
    return SourceError("is a damaged zip archive", where=place, why=str(error), remedy="Copy it again from its source")


def _refuse_names(place: Path, names: list[str]) -> None:
    """Refuse a name that is no name of a file, and one that stands twice: which one counts would be a guess."""
    for name, count in Counter(names).items():
        if count > 1 or not is_plain_name(name):
            told = f"{name} more than once" if count > 1 else f"a file with the name {name}"
            raise SourceError(
                f"is a zip archive that holds {told}",
                where=place,
                remedy="Do not use this archive, or unpack it by hand and name the folder",
            )


def _refuse_bomb(place: Path, members: list[zipfile.ZipInfo]) -> None:
    """Refuse an archive that would unpack to an absurd size; a set of 64 MiB may be as even as it likes."""
    unpacked = sum(info.file_size for info in members)
    packed = max(1, sum(info.compress_size for info in members))
    most = min(MAX_UNPACKED, max(SMALL_ENOUGH, packed * MAX_RATIO))
    if len(members) > MAX_MEMBERS or unpacked > most:
        raise SourceError(
            f"would unpack to {unpacked} bytes in {len(members)} file(s), which no task data set does",
            where=place,
            remedy="Do not use this archive, or unpack it by hand and name the folder",
        )


def _folder_in_zip(place: Path, paths: list[PurePosixPath]) -> PurePosixPath:
    """Return the shallowest folder in the archive with a main file; refuse an archive with several such."""
    mains = [path.parent for path in paths if path.name.upper() == MAIN and ".." not in path.parts]
    if not mains:
        kinds = {_OTHER_LAYERS[suffix] for suffix in {path.suffix.lower() for path in paths} & set(_OTHER_LAYERS)}
        remedy = "Check that it holds a set"
        if kinds:
            remedy = f"It holds {' and '.join(sorted(kinds))}: unpack it and name the folder"
        raise SourceError(f"is a zip archive without a {MAIN}", where=place, remedy=remedy)
    depth = min(len(path.parts) for path in mains)
    shallowest = sorted({path for path in mains if len(path.parts) == depth})
    if len(shallowest) > 1:
        told = f"is a zip archive that holds {len(shallowest)} sets, {shallowest[0]} among them"
        raise SourceError(told, where=place, remedy="Unpack it and name the folder of one")
    return shallowest[0]


def _zip_opener(place: Path, info: zipfile.ZipInfo) -> Callable[[], BinaryIO]:
    def read() -> BinaryIO:
        try:
            with zipfile.ZipFile(place) as archive, archive.open(info) as member:
                content = member.read(info.file_size + 1)
        except _ZIP_FAULTS as error:
            raise _bad_zip(place, error) from None
        return io.BytesIO(content[: info.file_size])

    return read
