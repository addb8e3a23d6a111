"""Failures of the program or of its input; never a fault found in the data.

::

    TaskdataError
    ├── UsageError     wrong use: exit code 2
    ├── SourceError    the source could not be read: exit code 3
    └── TargetError    the target could not or may not be written: exit code 4

Each prints as one line: what, where, why, and what to do.
"""

from __future__ import annotations

from collections.abc import Callable
from os import PathLike

from taskdata.arguments import Naming, in_python


class TaskdataError(Exception):
    """Base of every failure this package raises on purpose.

    Parameters
    ----------
    what : str
        What failed, in plain words, without a closing full stop.
    where : str or path, optional
        The file, folder or archive member.
    why : str, optional
        The cause, where it is known.
    remedy : str, optional
        What the user can do; it may name arguments, see `taskdata.arguments`.
    """

    exit_code = 1

    def __init__(
        self,
        what: str,
        *,
        where: str | PathLike[str] | None = None,
        why: str | None = None,
        remedy: str | None = None,
    ) -> None:
        super().__init__(what)
        self.what = what
        self.where = None if where is None else str(where)
        self.why = why
        self._remedy = remedy

    @property
    def remedy(self) -> str | None:
        """What the caller can do, in the terms of Python."""
        return None if self._remedy is None else in_python(self._remedy)

    def reword(self, change: Callable[[str], str]) -> None:
        """Put every text of the failure through ``change``, as where a path must be told by another name."""
        self.what = change(self.what)
        self.where, self.why, self._remedy = (
            None if text is None else change(text) for text in (self.where, self.why, self._remedy)
        )

    def told(self, naming: Naming = in_python) -> str:
        """Return the failure in one line, with arguments named as its reader knows them."""
        line = self.what if self.where is None else f"{self.where}: {self.what}"
        if self.why:
            line += f" ({self.why})"
        if self._remedy:
            line += f". {naming(self._remedy)}"
        return " ".join(line.split())

    def __str__(self) -> str:
        return self.told()


class UsageError(TaskdataError):
    """The call cannot be carried out as it was worded."""

    exit_code = 2


class SourceError(TaskdataError):
    """The source could not be read."""

    exit_code = 3


class TargetError(TaskdataError):
    """The target could not or may not be written."""

    exit_code = 4


class UnfitError(ValueError):
    """Data that is not in the shape that was looked for, in words for the user; caught and told by who looked."""


def unfit(error: Exception) -> str:
    """Return in plain words why data is not in the shape that was looked for.

    Parameters
    ----------
    error : Exception
        What Python raised while it was taken apart.
    """
    if isinstance(error, KeyError) and error.args and isinstance(error.args[0], str):
        return error.args[0] if " " in error.args[0] else f"{error.args[0]} is missing"
    if isinstance(error, OSError):
        return error.strerror or "the disk reported an error"
    if isinstance(error, UnfitError):
        return str(error)
    if isinstance(error, ValueError) and hasattr(error, "lineno"):
        return f"line {error.lineno} cannot be understood"
    if isinstance(error, RecursionError):
        return "it is nested too deep"
    return "a value in it is of the wrong kind"
