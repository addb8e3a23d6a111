"""Files and folders that operating systems and stopped runs leave behind: ignored in silence, and never carried."""

from __future__ import annotations

from pathlib import Path

from taskdata.paths import ROOM_ENDING

_NAMES = frozenset(
    {
        ".apdisk",
        ".directory",
        ".ds_store",
        ".fseventsd",
        ".localized",
        ".spotlight-v100",
        ".temporaryitems",
        ".trashes",
        "$recycle.bin",
        "__macosx",
        "desktop.ini",
        "ehthumbs.db",
        "lost+found",
        "recycler",
        "system volume information",
        "thumbs.db",
    }
)
_BEGINNINGS = ("._", ".trash-")


def is_litter(name: str) -> bool:
    """Tell whether a file or folder of that name was left by an operating system or a stopped run, as a waste bin was.

    Parameters
    ----------
    name : str
        Last part of a path; case does not matter.
    """
    low = name.lower()
    half_made = low.startswith(".") and low.endswith(ROOM_ENDING)
    return low in _NAMES or low.startswith(_BEGINNINGS) or half_made


def entries(folder: Path) -> list[Path]:
    """Return what stands in a folder by name, without what operating systems leave.

    Raises
    ------
    OSError
        The folder may not be looked into.
    """
    return sorted(item for item in folder.iterdir() if not is_litter(item.name))
