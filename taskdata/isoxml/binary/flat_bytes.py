"""Anything that holds bytes as one flat numpy array, without a copy where possible."""

from __future__ import annotations

from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

Data: TypeAlias = bytes | bytearray | memoryview | NDArray[Any]
Octets: TypeAlias = NDArray[np.uint8]


def octets_of(data: Data) -> Octets:
    """Return ``data`` (bytes-like, array or numpy.memmap) as uint8, (bytes,), a view where possible."""
    if isinstance(data, np.ndarray):
        return np.ascontiguousarray(data).reshape(-1).view(np.uint8)
    return np.frombuffer(data, dtype=np.uint8) if len(data) else np.zeros(0, dtype=np.uint8)
