"""From a path that a person names to what stands there: on disk, in an archive at any depth, or a layer in a file."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path, PurePosixPath
from typing import TypeVar

from taskdata.dataclass import dataclass
from taskdata.errors import SourceError
from taskdata.exchange.found.contents import head_of
from taskdata.file_formats.contents import HEAD, ZIP_MARK
from taskdata.file_formats.regular import absence
from taskdata.file_formats.table import told_by_content
from taskdata.isoxml.files.archives import Archive, is_archive_name
from taskdata.isoxml.files.blob import Blob
from taskdata.isoxml.files.folders import DiskFolder, Folder, disk_file, main_in
from taskdata.isoxml.files.survey import archive_in

Item = TypeVar("Item")


@dataclass(frozen=True)
class Located:
    """What stands at a path.

    Parameters
    ----------
    folder : Folder
        The folder, the top of an archive, or the folder of the file.
    blob : Blob or None
        The file; None where it is a folder or an archive.
    layer : str or None
        Name of a layer in the file, where the path goes on below it.
    """

    folder: Folder
    blob: Blob | None = None
    layer: str | None = None


def locate(place: Path) -> Located | None:
    """Return what stands at a path, None where nothing does.

    Raises
    ------
    SourceError
        An archive on the way is damaged or hostile.
    OSError
        The disk reports an error.
    """
    above = next((item for item in (place, *place.parents) if item.exists()), None)
    if above is None:
        return None
    if above.is_dir():
        return Located(DiskFolder(above)) if above == place else None
    if not above.is_file():
        return None
    rest = place.parts[len(above.parts) :]
    return None if ".." in rest else _in_file(DiskFolder(above.parent), disk_file(above), rest, str(above))


def located_at(place: Path) -> Located:
    """Return what stands at a path, see `locate`.

    Raises
    ------
    SourceError
        Nothing does.
    """
    located = locate(place)
    if located is None:
        raise SourceError(absence(place), where=place, remedy="Check the path")
    return located


def is_set_alone(located: Located) -> bool:
    """Tell whether the files of a task data set lie in the very folder that is named."""
    return located.blob is None and main_in(located.folder) is not None


def _in_folder(folder: Folder, parts: Sequence[str]) -> Located | None:
    if not parts:
        return Located(folder)
    first, *rest = parts
    inner = _called(first, {item.name or "": item for item in folder.folders()})
    if inner is not None:
        return _in_folder(inner, rest)
    blob = _called(first, {item.name: item for item in folder.files()})
    return None if blob is None else _in_file(folder, blob, rest, None)


def _in_file(folder: Folder, blob: Blob, parts: Sequence[str], where: str | None) -> Located | None:
    """Return what stands at a path below a file: in it where it is an archive, else a layer of it, if it has layers."""
    head = head_of(folder, blob, HEAD)
    form = told_by_content(head, PurePosixPath(blob.name))
    layers = form is not None and form.driver is not None
    if not layers and (is_archive_name(blob.name) or head.startswith(ZIP_MARK)):
        archive = archive_in(folder, blob) if where is None else Archive(where, blob.opener)
        return _in_folder(archive.root, parts)
    if parts and not layers:
        return None
    return Located(folder, blob, "/".join(parts) or None)


def _called(name: str, items: dict[str, Item]) -> Item | None:
    """Return the item of a name; its case counts only where two differ in nothing else."""
    return items.get(name) or next((item for key, item in items.items() if key.upper() == name.upper()), None)
