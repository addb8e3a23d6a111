"""What is to be done with one source, as a plain record that travels to any worker."""

from __future__ import annotations

import hashlib
import os
import uuid
from collections.abc import Mapping, Set, Sized
from dataclasses import field, fields, is_dataclass
from enum import Enum
from pathlib import Path
from typing import Any

from taskdata import strict_json
from taskdata.dataclass import dataclass
from taskdata.errors import SourceError, UsageError

FILE_OPTIONS = ("profile", "receiver", "accepted", "mapping")
"""Options that may name a file: its content travels with the call, and a change in it is a change of options."""

_SEVERAL = ("select", "ignore", "only", "leave", "task", "take")
"""Options that take one text or several."""


@dataclass(frozen=True, slots=True)
class AttachedFile:
    """A file that an option names."""

    name: str
    content: bytes


@dataclass(frozen=True, slots=True)
class Call:
    """What is done with every source of a batch.

    Parameters
    ----------
    command : str
        Name of the public function.
    options : dict
        Its arguments beside source and target, files as `AttachedFile`.
    out : str
        The folder of the results, absolute, or a URL.
    program : str
        Version of this package.
    run : str
        Tells this call from any other one, the same words given: what a lost worker finished in it is of this call.
    """

    command: str
    options: Mapping[str, Any]
    out: str
    program: str
    run: str = field(default_factory=lambda: uuid.uuid4().hex)

    @property
    def digest(self) -> str:
        """Tells calls apart whose results may differ: by command, options and version of the program."""
        text = strict_json.dumps([self.command, _plain(self.options), self.program], sort_keys=True)
        return hashlib.sha256(text.encode()).hexdigest()


@dataclass(frozen=True, slots=True)
class Unit:
    """One source, and what is done with it.

    Parameters
    ----------
    call : Call
    source : str
        Its path as the caller named it or what it lies in.
    place : str
        The same as workers see it: absolute, or a URL.
    name : str
        Name of its result in the folder of results.
    """

    call: Call
    source: str
    place: str
    name: str


def call_of(command: str, options: Mapping[str, Any], out: str, program: str) -> Call:
    """Return what is done with every source, the files read that options name.

    Raises
    ------
    UsageError
        An option cannot be handed to a worker.
    SourceError
        A file that an option names cannot be read.
    """
    known = {name: _attached(name, value) for name, value in options.items() if value is not None}
    known = {name: (value,) if name in _SEVERAL and isinstance(value, str) else value for name, value in known.items()}
    known = {name: value for name, value in known.items() if not isinstance(value, Sized) or len(value)}
    _plain(known)
    return Call(command, known, out, program)


def _attached(name: str, value: Any) -> Any:
    if name not in FILE_OPTIONS or not isinstance(value, str | os.PathLike):
        return value
    try:
        return AttachedFile(Path(value).name, Path(value).read_bytes())
    except OSError as error:
        raise SourceError("cannot be read", where=value, why=error.strerror, remedy="Check the path") from error


def _scalar(value: Any) -> Any:
    if isinstance(value, Enum):
        return f"{type(value).__name__}.{value.name}"
    return os.fspath(value) if isinstance(value, os.PathLike) else value


def _plain(value: Any) -> Any:
    """Return a value as lists, texts and numbers from which equal values give the same text."""
    if value is None or isinstance(value, str | int | float | bytes | os.PathLike):
        return hashlib.sha256(value).hexdigest() if isinstance(value, bytes) else _scalar(value)
    if is_dataclass(value) and not isinstance(value, type):
        return [type(value).__name__, [[item.name, _plain(getattr(value, item.name))] for item in fields(value)]]
    if isinstance(value, Mapping):
        return sorted(([str(key), _plain(item)] for key, item in value.items()), key=lambda pair: pair[0])
    if isinstance(value, Set | list | tuple):
        found = [_plain(item) for item in value]
        return sorted(found, key=strict_json.dumps) if isinstance(value, Set) else found
    raise UsageError("an option of a batch is not plain data", where=repr(value)[:60], remedy="Give texts or numbers")
