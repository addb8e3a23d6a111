"""GDAL with the one driver that a file was told to be for, and nothing by which a file reaches something else.

GDAL asks all its drivers whether a file is theirs, and some of these open networks, other files or programs for what
stands in it. While a file is opened here, its own driver alone is registered. pyogrio and rasterio may each bring a
GDAL of their own; each is restricted through its own library. Where a library cannot be reached in this way (an unusual
build), what a file is told by, the check of its driver afterwards and the settings remain.
"""

from __future__ import annotations

import ctypes
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from pathlib import Path
from threading import RLock
from types import ModuleType

OFF = {
    "CPL_VSIL_CURL_ALLOWED_FILENAME": "none",
    "CPL_CURL_ENABLE_VSIMEM": "NO",
    "GDAL_VRT_ENABLE_PYTHON": "NO",
    "OGR_SQLITE_ALLOW_EXTERNAL_ACCESS": "NO",
    "OGR_SQLITE_LIST_VIRTUAL_OGR": "NO",
    "OGR_SQLITE_LOAD_EXTENSIONS": "",
    "OGR_SQLITE_PRAGMA": "trusted_schema=OFF,query_only=ON,mmap_size=0",
    "SQLITE_LIST_ALL_TABLES": "NO",
}
"""Settings of GDAL while a file is read: they hold against those of the environment."""

_LOCK = RLock()


@contextmanager
def registered(module: ModuleType, name: str) -> Iterator[None]:
    """Leave one driver registered in the GDAL that a module of its library is linked to, and put the others back.

    Parameters
    ----------
    module : module
        An extension module of pyogrio or rasterio.
    name : str
        Short name of the driver, as GDAL has it.
    """
    library = _library(str(module.__file__))
    if library is None:
        yield
        return
    with _LOCK:
        drivers = [library.GDALGetDriver(at) for at in range(library.GDALGetDriverCount())]
        own = library.GDALGetDriverByName(name.encode())
        for driver in drivers:
            if driver != own:
                library.GDALDeregisterDriver(driver)
        try:
            yield
        finally:
            if own:
                library.GDALDeregisterDriver(own)
            for driver in drivers:
                library.GDALRegisterDriver(driver)


@cache
def _library(extension: str) -> ctypes.CDLL | None:
    """Return the GDAL that an extension module uses, None where it cannot be reached."""
    home = Path(extension).parent
    beside = sorted(home.parent.glob(f"{home.name}.libs/gdal*.dll")) if sys.platform == "win32" else []
    try:
        library = ctypes.CDLL(str(beside[0]) if beside else extension)
        library.GDALGetDriver.restype = library.GDALGetDriverByName.restype = ctypes.c_void_p
        library.GDALGetDriver.argtypes = [ctypes.c_int]
        library.GDALGetDriverByName.argtypes = [ctypes.c_char_p]
        for function in (library.GDALDeregisterDriver, library.GDALRegisterDriver):
            function.argtypes = [ctypes.c_void_p]
    except (OSError, AttributeError):
        return None
    return library
