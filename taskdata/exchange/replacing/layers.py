"""What lies among the files of a target of layers and was not written by this program."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from taskdata.exchange.replacing.on_disk import is_folder, plain_files
from taskdata.file_formats.declaration import Format
from taskdata.formats.own_layers import foreign_layers
from taskdata.staging import regular_file


def foreign_in_folder(place: Path, form: Format) -> Sequence[str]:
    """Return what in a folder is no layer of this program in a format, nor belongs to one.

    Parameters
    ----------
    form : Format
        The format of the target.
    """
    if not is_folder(place):
        return (place.name,)
    files, found = plain_files(place)
    names = {item.name for item in files}
    layers = [item for item in files if item.name.endswith(form.suffix)]
    own = [item for item in layers if not foreign_layers(item, form, named=True)]
    endings = (form.suffix, *form.beside, *form.outdated)
    known = {f"{item.stem}{ending}" for item in own for ending in endings}
    known |= {name for name in form.folder_files if name in names and _is_sidecar(place / name, name)}
    return [*found, *sorted(names - known)]


def foreign_file(place: Path, form: Format) -> Sequence[str]:
    """Return what in a file was not written by this program: the file itself, or of one with several layers these."""
    return regular_file(place, place) or foreign_layers(place, form, named=False)


def _is_sidecar(path: Path, name: str) -> bool:
    """Tell whether a file of a folder of layers says in its first bytes that it is what its name says."""
    beginning = f'{{"format": "{name.partition("-")[0]}'.encode()
    try:
        with path.open("rb") as file:
            return file.read(len(beginning)) == beginning
    except OSError:
        return False
