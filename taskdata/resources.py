"""The one module that opens the data packed with the program.

Fact tables lie in ``taskdata/data``; schemas lie in ``schemas`` beside the package in a checkout and inside the
package in a wheel.
"""

from __future__ import annotations

import csv
from functools import cache
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path


@cache
def table(name: str) -> tuple[dict[str, str], ...]:
    """Return the rows of the fact table ``name`` (without suffix) as dicts of text, blank = absent."""
    text = files("taskdata").joinpath("data", f"{name}.csv").read_text(encoding="utf-8")
    return tuple(csv.DictReader(text.splitlines()))


def schema_folder() -> Traversable:
    """Return the folder of XML and JSON schemas, wherever this installation keeps it."""
    packed = files("taskdata").joinpath("schemas")
    return packed if packed.is_dir() else Path(__file__).parent.parent / "schemas"


@cache
def schema_bytes(name: str) -> bytes:
    """Return a schema file by its name, such as ``TASKDATA-4.3.xsd``.

    Raises
    ------
    FileNotFoundError
        No schema of that name is packed.
    """
    return schema_folder().joinpath(name).read_bytes()
