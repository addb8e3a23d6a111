"""The one module that opens the data packed with the program.

Fact tables lie in ``taskdata/data``; schemas lie in ``schemas`` beside the package in a checkout and inside the
package in a wheel.
"""

from __future__ import annotations

import csv
import json
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import jsonschema


_PACKAGE = Path(__file__).parent


@cache
def table(name: str) -> tuple[dict[str, str], ...]:
    """Return the rows of the fact table ``name`` (without suffix) as dicts of text, blank = absent."""
    text = (_PACKAGE / "data" / f"{name}.csv").read_text(encoding="utf-8")
    return tuple(csv.DictReader(text.splitlines()))


def schema_folder() -> Path:
    """Return the folder of XML and JSON schemas, wherever this installation keeps it."""
    packed = _PACKAGE / "schemas"
    return packed if packed.is_dir() else _PACKAGE.parent / "schemas"


@cache
def schema_bytes(name: str) -> bytes:
    """Return a schema file by its name, such as ``TASKDATA-4.3.xsd``.

    Raises
    ------
    FileNotFoundError
        No schema of that name is packed.
    """
    return schema_folder().joinpath(name).read_bytes()


def first_fault(name: str, document: Any) -> jsonschema.ValidationError | None:
    """Return what is wrong with a document by the packed JSON schema of that name, None where nothing is."""
    import jsonschema  # noqa: PLC0415  # it is slow to load, and few calls have a document of this kind

    validator = jsonschema.Draft202012Validator(json.loads(schema_bytes(name)))
    fault: jsonschema.ValidationError | None = jsonschema.exceptions.best_match(validator.iter_errors(document))
    return fault
