"""What one input may cost: every limit once, with the reason for it.

An input that goes beyond a limit is refused in one line that names the limit and how to raise it: by the environment
variable that `variable` names, such as ``TASKDATA_LIMIT_UNPACKED_RATIO=1000``. What a packed input becomes is limited
in proportion to its size (`room_for`). Limits of a format itself, such as the columns of a dBASE table, are no limits
of this kind and stand where the format is written.
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from types import MappingProxyType

from taskdata.dataclass import dataclass
from taskdata.errors import UsageError

_BEGINNING = "TASKDATA_LIMIT_"


@dataclass(frozen=True, slots=True)
class Limit:
    """One limit.

    Parameters
    ----------
    most : int
        What is still allowed.
    unit : str
        Of what, as the end of a phrase such as ``100000 files``.
    why : str
        What it limits.
    """

    most: int
    unit: str
    why: str


LIMITS: Mapping[str, Limit] = MappingProxyType(
    {
        "unpacked_free": Limit(64 << 20, "bytes", "what a packed input may become whatever its size"),
        "unpacked_ratio": Limit(200, "times its size", "what a larger packed input may become"),
        "unpacked_most": Limit(8 << 30, "bytes", "what any packed input may become"),
        "archive_files": Limit(100_000, "files", "an archive with all archives in it"),
        "archive_levels": Limit(4, "archives", "how many archives may lie in one another"),
        "archive_inner": Limit(1 << 30, "bytes", "an archive in an archive, which is held in memory"),
        "folder_files": Limit(200_000, "files and folders", "a folder that is searched"),
        "folder_levels": Limit(64, "folders", "how many folders that are searched may lie in one another"),
        "text_file": Limit(64 << 20, "bytes", "a mapping, a receiver profile or another file of settings"),
        "database_layers": Limit(1_000, "layers", "a GeoPackage"),
        "grid_missing": Limit(1 << 28, "bytes", "cells that a grid says it has and its file lacks"),
    }
)
"""The limits by name."""


def variable(name: str) -> str:
    """Return the environment variable that sets a limit."""
    return _BEGINNING + name.upper()


def most(name: str) -> int:
    """Return what a limit allows: what its environment variable says, or else what stands in the table.

    Raises
    ------
    UsageError
        The variable is not a positive whole number.
    """
    text = os.environ.get(variable(name))
    if text is None:
        return LIMITS[name].most
    digits = text.strip().replace("_", "")
    if not (digits.isascii() and digits.isdigit() and len(digits) <= 18 and int(digits) > 0):
        raise UsageError(
            "is not a positive whole number of at most 18 digits",
            where=variable(name),
            why=f"it is {text[:40]!r}",
            remedy="Give one, or remove the variable from the environment",
        )
    return int(digits)


def told(name: str) -> str:
    """Return a limit in words, such as ``the limit is 100000 files``."""
    return f"the limit is {most(name)} {LIMITS[name].unit}"


def raising(name: str) -> str:
    """Return how to raise a limit, as a sentence without its full stop."""
    return f"If you trust the file, set the environment variable {variable(name)} to a higher number"


def room_for(size: int) -> int:
    """Return how many bytes a packed input of a size may become.

    Parameters
    ----------
    size : int
        Its size in bytes.
    """
    return min(most("unpacked_most"), max(most("unpacked_free"), size * most("unpacked_ratio")))


def binding(size: int) -> str:
    """Return the name of the limit that `room_for` follows for an input of a size: the one to raise."""
    if max(most("unpacked_free"), size * most("unpacked_ratio")) > most("unpacked_most"):
        return "unpacked_most"
    return "unpacked_ratio" if size * most("unpacked_ratio") >= most("unpacked_free") else "unpacked_free"
