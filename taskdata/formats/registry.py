"""The drivers of the formats, loaded when one is asked for.

A driver is found by its name in the table of formats, so that knowing a format loads no library for it. No driver
imports this module or what stands above it: an import contract holds that.
"""

from __future__ import annotations

from importlib import import_module
from typing import cast

from taskdata.file_formats.table import format_named
from taskdata.formats.base import Reader, Writer

_HOME = "taskdata.formats.drivers"


def reader(name: str) -> Reader:
    """Return what reads the format of a name.

    Raises
    ------
    UsageError
        There is no such format.
    """
    return cast(Reader, _driver(name))


def writer(name: str) -> Writer:
    """Return what writes the format of a name.

    Raises
    ------
    UsageError
        There is no such format.
    """
    return cast(Writer, _driver(name))


def _driver(name: str) -> object:
    """Return ``DRIVER`` of the module that the table names."""
    return import_module(f"{_HOME}.{format_named(name).driver}").DRIVER
