"""What the files of a source are, byte for byte."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Iterator
from pathlib import Path

from taskdata import limits
from taskdata.errors import SourceError
from taskdata.exchange.found.contents import opened
from taskdata.exchange.found.locating import Located, locate
from taskdata.exchange.found.walking import thing_of
from taskdata.isoxml.files.blob import Blob
from taskdata.isoxml.files.folders import Folder, main_in

_PIECE = 1 << 20


def digest_of_source(path: str | os.PathLike[str]) -> str | None:
    """Return a digest of the names and bytes of the files that a source is; None where they cannot be read.

    Of a set these are the files in its folder, of layers those in their folder or archive and in the folders below.
    """
    whole = hashlib.sha256()
    try:
        located = locate(Path(path))
        for folder, name, blob in () if located is None else _files(located):
            whole.update(f"{name}\0{blob.size}\0".encode("utf-8", "surrogatepass"))
            with opened(folder, blob) as stream:
                while piece := stream.read(_PIECE):
                    whole.update(piece)
    except (OSError, SourceError):
        return None
    return None if located is None else whole.hexdigest()


def _files(located: Located) -> Iterator[tuple[Folder, str, Blob]]:
    if located.blob is not None:
        thing = thing_of(located.folder, located.blob)
        own = (located.blob,) if thing is None else thing.files
        yield from ((located.folder, blob.name, blob) for blob in own)
    elif main_in(located.folder) is not None:
        yield from ((located.folder, blob.name, blob) for blob in located.folder.files())
    else:
        yield from _below(located.folder, "", 0)


def _below(folder: Folder, path: str, level: int) -> Iterator[tuple[Folder, str, Blob]]:
    yield from ((folder, f"{path}{blob.name}", blob) for blob in folder.files())
    for inner in folder.folders() if level < limits.most("folder_levels") else ():
        yield from _below(inner, f"{path}{inner.name}/", level + 1)
