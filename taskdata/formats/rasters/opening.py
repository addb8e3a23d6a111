"""A raster opened by the one driver that its content tells."""

from __future__ import annotations

import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import rasterio
from rasterio import _env
from rasterio.errors import NotGeoreferencedWarning

from taskdata.file_formats.contents import HEAD
from taskdata.file_formats.rasters import is_grid, is_tiff
from taskdata.file_formats.regular import is_utf8, other_beside
from taskdata.formats.only_driver import OFF, registered

_TIFF, _GRID = "GTiff", "AAIGrid"


@contextmanager
def opened(path: Path, *, grids: bool) -> Iterator[Any]:
    """Open a raster for reading.

    Parameters
    ----------
    path : Path
        The file.
    grids : bool
        Whether grids in plain text are read too, or GeoTIFF alone.

    Raises
    ------
    OSError, RasterioError
        It is damaged, or of another kind.
    """
    with path.open("rb") as file:
        head = file.read(HEAD)
    driver = _TIFF if is_tiff(head) else _GRID if grids and is_grid(head) else None
    if driver is None:
        raise OSError("its content is of another kind")
    if other_beside(path) or not is_utf8(path):
        raise OSError("a pipe or a device lies beside it, or its path is not in UTF-8")
    with warnings.catch_warnings(), rasterio.Env(**OFF), registered(_env, driver):
        warnings.simplefilter("ignore", NotGeoreferencedWarning)
        with rasterio.open(path.absolute(), driver=driver) as raster:
            yield raster
