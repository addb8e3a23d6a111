"""The files of a set, whatever they lie in.

A set is one flat folder. Names are looked up without regard to case; no name that contains a path is ever followed, so
neither a file of the set nor a member of an archive can reach outside.
"""

from __future__ import annotations

from functools import cached_property

from taskdata.dataclass import dataclass
from taskdata.findings import Finding
from taskdata.isoxml.files.blob import Blob


@dataclass(frozen=True, eq=False)
class FileSet:
    """The files of one set, in the order of their names.

    Parameters
    ----------
    where : str
        Path for messages: of the folder, or of the main file where ``main_named`` says so.
    files : tuple of Blob
        Its files.
    folder : str or None
        Name of the folder they lie in, None where unknown.
    crowded : bool
        The files lie in a folder that need not be that of a set, so that those which the set does not name and which
        are not named like files of a set are none of it.
    outside : tuple of str
        Links that lead out of the folder and were not followed.
    folders : tuple of str
        Names of the folders beside the files.
    main_named : bool
        ``where`` is the path of the main file.
    notes : tuple of Finding
        What was noticed while the set was looked for.
    """

    where: str
    files: tuple[Blob, ...]
    folder: str | None = None
    crowded: bool = False
    outside: tuple[str, ...] = ()
    folders: tuple[str, ...] = ()
    main_named: bool = False
    notes: tuple[Finding, ...] = ()

    def find(self, name: str) -> Blob | None:
        """Return the file of that name without regard to case, an exact match first; None if there is none."""
        if name != plain_name(name):
            return None
        same = self._by_name.get(name.upper(), [])
        return next((blob for blob in same if blob.name == name), same[0] if same else None)

    @cached_property
    def _by_name(self) -> dict[str, list[Blob]]:
        """The files by their names in capitals."""
        found: dict[str, list[Blob]] = {}
        for blob in self.files:
            found.setdefault(blob.name.upper(), []).append(blob)
        return found


def plain_name(name: str) -> str:
    """Return the last part of ``name``; a name that differs from it contains a path and is not followed."""
    return name.replace("\\", "/").rsplit("/", 1)[-1]


def is_plain_name(name: str) -> bool:
    """Tell whether ``name`` is the name of one file in the folder of the set, on any system."""
    return name == plain_name(name) and name not in {"", ".", ".."} and "\0" not in name and name[1:2] != ":"
