"""Regular files: pipes and devices, which may wait or go on without end, are never opened."""

from __future__ import annotations

import errno
from pathlib import Path
from typing import Any

from taskdata import limits


def is_other(path: Path) -> bool:
    """Tell whether something stands at a path that is neither a file nor a folder, such as a pipe or a device."""
    return path.exists() and not path.is_file() and not path.is_dir()


def absence(path: Path) -> str:
    """Return what to say of a path at which no file or folder is found."""
    return "is a pipe or a device, which is never read" if is_other(path) else "does not exist"


def is_utf8(path: Path) -> bool:
    """Tell whether a path is in UTF-8; names on a disk need not be, and some libraries know nothing else."""
    try:
        str(path.absolute()).encode()
    except UnicodeEncodeError:
        return False
    return True


def other_beside(path: Path) -> bool:
    """Tell whether something that is neither a file nor a folder has a name that begins as that of a file does."""
    stem = path.stem.lower()
    return any(item.name.lower().startswith(stem) and is_other(item) for item in path.parent.iterdir())


def settings_text(path: Path) -> str:
    """Return the text of a file that holds settings, in UTF-8, with or without a byte order mark.

    Raises
    ------
    OSError
        It cannot be read, is a pipe or a device, or is larger than such a file can be.
    UnicodeDecodeError
        It is in another encoding.
    """
    if is_other(path):
        raise OSError(errno.EINVAL, "it is a pipe or a device, not a file")
    most = limits.most("text_file")
    with path.open("rb") as file:
        content = file.read(most + 1)
    if len(content) > most:
        raise OSError(errno.EFBIG, f"it is too large: {limits.told('text_file')}")
    return content.decode("utf-8-sig")


def settings(path: Path) -> dict[str, Any]:
    """Return what a TOML file with settings says.

    Raises
    ------
    OSError, ValueError, RecursionError
        It cannot be read, see `settings_text`, or is no TOML.
    """
    import tomllib  # noqa: PLC0415  # few calls have such a file

    return tomllib.loads(settings_text(path))
