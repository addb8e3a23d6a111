"""Paths as callers name them: refused in one line where nothing, or nothing sensible, is named."""

from __future__ import annotations

import os
from pathlib import Path

from taskdata.errors import UsageError
from taskdata.visible import visible

ROOM_ENDING = ".part"
"""How the name of a hidden folder ends in which a target is made; it lies beside the target until that is whole."""


def named_path(path: str | os.PathLike[str], what: str = "source") -> Path:
    """Return the path that a caller names.

    Parameters
    ----------
    path : path
        As it was given; an empty text is none, though `pathlib` takes it for the current folder.
    what : str
        What it is the path of, for the error.

    Raises
    ------
    UsageError
        It is empty, or no path.
    """
    try:
        text = os.fspath(path)
    except TypeError:
        text = None
    if not isinstance(text, str):
        raise UsageError(f"the {what} is not a path", where=repr(path)[:60], remedy="Give a text or a pathlib.Path")
    if not text.strip():
        raise UsageError(f"the path of the {what} is empty", remedy="Name a file or folder; `.` is the current folder")
    return Path(text)


def target_path(path: str | os.PathLike[str]) -> Path:
    """Return the path that a caller names for what is to be made.

    Raises
    ------
    UsageError
        It is empty, or no path, or has a line break or another control character in it: not every library that
        writes takes these, and other computers cannot read such a name.
    """
    named = named_path(path, "target")
    if any(ord(letter) < 32 or ord(letter) == 127 for letter in str(named)):
        shown = visible(str(named))
        raise UsageError(
            "has a line break or another control character in its path", where=shown, remedy="Name another target"
        )
    return named
