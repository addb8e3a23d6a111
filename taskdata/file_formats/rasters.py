"""How the beginning of a file tells a raster."""

from __future__ import annotations

import re
from pathlib import PurePath

ENDINGS = (".tif", ".tiff", ".asc", ".grd")
"""What files of rasters are called."""
_TIFF = (b"II*\0", b"MM\0*", b"II+\0", b"MM\0+")
"""How a TIFF and a BigTIFF begin, in either order of bytes (TIFF 6.0, section 2)."""
_GRID = re.compile(rb"\s*ncols\s+\d+\s+nrows\s+\d+\s", re.IGNORECASE)
"""The header of a grid in plain text."""


def is_raster(path: PurePath, head: bytes) -> bool:
    """Tell a raster by its first bytes; the name counts too, since pictures of any kind may be TIFF."""
    return path.suffix.lower() in ENDINGS and (is_tiff(head) or is_grid(head))


def is_tiff(head: bytes) -> bool:
    """Tell a TIFF by its first bytes."""
    return head.startswith(_TIFF)


def is_grid(head: bytes) -> bool:
    """Tell a grid in plain text by its header."""
    return _GRID.match(head) is not None
