"""Large arrays in temporary files that are mapped, so that their rows need not stay in memory.

Rows that were looked at take memory until they are put back; they are read from the file again when they are needed
again. While anything is mapped, a thread puts everything back many times a second, so that whoever uses such an array
need not know. What was written stays in the system's cache of files, which it gives up when memory is short; where
temporary files themselves lie in memory, nothing is saved. Where no file can be had, arrays stay in memory.
"""

from __future__ import annotations

import math
import mmap
import os
import threading
import time
from typing import Any, TypeVar
from weakref import WeakSet

import numpy as np
from numpy.typing import NDArray

IN_MEMORY = 1 << 25
"""Bytes up to which arrays stay in memory."""
_SEGMENT = 1 << 26
"""Bytes of a file that several arrays share; each open mapping takes one of the few numbers that files have."""
_APART = 64
_PAUSE_SECONDS = 0.05

Number = TypeVar("Number", bound=np.generic)

_mapped: WeakSet[mmap.mmap] = WeakSet()
_guard = threading.Lock()
_keeper: threading.Thread | None = None


def map_file(number: int, size: int, *, writable: bool) -> mmap.mmap:
    """Map the first bytes of an open file, whose memory is put back from now on.

    Raises
    ------
    OSError
        The system refuses.
    """
    mapped = mmap.mmap(number, size, access=mmap.ACCESS_WRITE if writable else mmap.ACCESS_READ)
    with _guard:
        _mapped.add(mapped)
    return mapped


def put_back() -> bool:
    """Give the memory back that mapped arrays take; tell whether there are any."""
    with _guard:
        found = list(_mapped)
    for mapped in found:
        if hasattr(mapped, "madvise"):
            mapped.madvise(mmap.MADV_DONTNEED)
    return bool(found)


def large_array(shape: tuple[int, ...], kind: str) -> NDArray[Any]:
    """Return an array of zeros, one that is large mapped from a file."""
    size = math.prod(shape) * np.dtype(kind).itemsize
    mapped = _room(size) if size > IN_MEMORY else None
    return np.zeros(shape, kind) if mapped is None else np.frombuffer(mapped, kind).reshape(shape)


class ArrayStore:
    """Keeps arrays that are made once and read now and then: the first few in memory, all others in mapped files."""

    def __init__(self) -> None:
        self._kept = 0
        self._segment: mmap.mmap | None = None
        self._at = 0

    def kept(self, array: NDArray[Number]) -> NDArray[Number]:
        """Return an array, or one that says the same and does not stay in memory; neither may be written to."""
        if 0 in array.strides or not array.size:
            return array
        self._kept += array.nbytes
        if self._kept <= IN_MEMORY:
            return array
        if self._segment is None or len(self._segment) - self._at < array.nbytes:
            self._segment, self._at = _room(max(_SEGMENT, array.nbytes)), 0
        if self._segment is None:
            return array
        kept = np.frombuffer(self._segment, array.dtype, array.size, self._at).reshape(array.shape)
        kept[...] = array
        self._at += -(-array.nbytes // _APART) * _APART
        _put_back_from_now_on()
        return kept


def _room(size: int) -> mmap.mmap | None:
    """Return so many zeros in a file of their own, None where there is no room for it."""
    import tempfile  # noqa: PLC0415  # few sets are that large

    try:
        with tempfile.TemporaryFile(prefix="taskdata-") as file:
            if hasattr(os, "posix_fallocate"):  # a medium that is full says so now, and not when rows are written
                os.posix_fallocate(file.fileno(), 0, size)
            else:
                file.truncate(size)
            return map_file(file.fileno(), size, writable=True)
    except OSError:
        return None


def _put_back_from_now_on() -> None:
    """See to it that a thread puts everything back now and then, for as long as anything is mapped."""
    global _keeper  # noqa: PLW0603  # one thread a process
    if _keeper is None or not _keeper.is_alive():
        _keeper = threading.Thread(target=_keep_putting_back, name="taskdata-mapped", daemon=True)
        _keeper.start()


def _keep_putting_back() -> None:
    while put_back():
        time.sleep(_PAUSE_SECONDS)
