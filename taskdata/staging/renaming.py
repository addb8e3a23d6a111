"""Renaming in one step that nothing can interrupt, as far as the system and the file system can."""

from __future__ import annotations

import ctypes
import errno
import os
import sys
from pathlib import Path
from types import MappingProxyType

_CALLS = MappingProxyType({"linux": ("renameat2", 1, 2), "darwin": ("renamex_np", 4, 2)})
"""By system the function of its C library, and its flags for a new name alone and for an exchange (renameat2(2) of
Linux, rename(2) of macOS)."""

_CANNOT = frozenset({errno.EINVAL, errno.ENOSYS, errno.ENOTSUP, errno.EOPNOTSUPP})
_HERE = -100
"""AT_FDCWD of Linux: a path is as the process sees it."""


def rename_new(path: Path, place: Path) -> None:
    """Rename what stands at ``path`` to a place where nothing stands.

    Raises
    ------
    FileExistsError
        Something stands there.
    OSError
        The disk reported an error.
    """
    call, only_new, _ = _CALLS.get(sys.platform, ("", 0, 0))
    if _renamed(call, path, place, only_new):
        return
    if os.path.lexists(place):
        raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST), str(place))
    path.rename(place)


def exchange(path: Path, place: Path) -> bool:
    """Exchange what stands at two paths; return False where the file system cannot.

    Raises
    ------
    OSError
        The disk reported an error.
    """
    call, _, swapped = _CALLS.get(sys.platform, ("", 0, 0))
    return _renamed(call, path, place, swapped)


def _renamed(call: str, path: Path, place: Path, flag: int) -> bool:
    function = getattr(ctypes.CDLL(None, use_errno=True), call, None) if call else None
    if function is None:
        return False
    ends = (os.fsencode(path), os.fsencode(place))
    words = (_HERE, ends[0], _HERE, ends[1]) if call == "renameat2" else ends
    if function(*words, ctypes.c_uint(flag)) == 0:
        return True
    code = ctypes.get_errno()
    if code in _CANNOT:
        return False
    raise OSError(code, os.strerror(code), str(place))
