"""Libraries of an extra, asked for where they are needed."""

from __future__ import annotations

from importlib import import_module
from typing import Any

from taskdata.errors import UsageError


def required(module: str) -> Any:
    """Return a module of ``pip install taskdata[cluster]``.

    Raises
    ------
    UsageError
        It is not installed.
    """
    try:
        return import_module(module)
    except ImportError as error:
        remedy = "Install it: pip install 'taskdata[cluster]'"
        raise UsageError(f"{module.partition('.')[0]} is not installed", why=str(error), remedy=remedy) from error
