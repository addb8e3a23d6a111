"""Files and folders to the medium: a stick may be pulled out as soon as the program says that it is done."""

from __future__ import annotations

import errno
import os
from pathlib import Path

_CANNOT = frozenset(
    {errno.EINVAL, errno.ENOSYS, errno.ENOTSUP, errno.EOPNOTSUPP, errno.EBADF, errno.EACCES, errno.EPERM}
)
"""What a file system says that cannot flush such a thing; it then keeps it by its own means."""


def flush_all(path: Path) -> None:
    """Flush a file, or a folder with all that is in it.

    Raises
    ------
    OSError
        The medium failed or is full.
    """
    if path.is_dir():
        for item in path.iterdir():
            flush_all(item)
    flush(path)


def flush(path: Path) -> None:
    """Flush one file, or the entries of one folder.

    Raises
    ------
    OSError
        The medium failed or is full.
    """
    try:
        handle = os.open(path, os.O_RDONLY if os.name == "posix" else os.O_RDWR)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
    except OSError as error:
        if error.errno not in _CANNOT:
            raise
