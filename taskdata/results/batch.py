"""What a batch gives: one row for each source."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field

from taskdata.arguments import as_option
from taskdata.dataclass import dataclass
from taskdata.errors import TaskdataError
from taskdata.records import short_repr


@short_repr
@dataclass(frozen=True, slots=True)
class BatchedSource:
    """What came of one source.

    Parameters
    ----------
    source : str
        Its path, as ``read`` takes it.
    digest : str or None
        SHA-256 of the names and contents of its files; None where they could not be read.
    exit : int
        The exit code that the command would end with.
    result : str or None
        Path of what was written of it; None where nothing was.
    document : str or None
        Path of the JSON document of the command.
    seconds : float
        How long it took.
    error : str or None
        Why there is no result, in one line.
    bounds : tuple of float or None
        West, south, east and north in degrees, WGS 84; west is larger than east across 180 degrees.
    counts : dict of str to int
        What was counted in the result, such as ``error`` of a check or ``losses`` of a conversion.
    kept : bool
        The result is that of an earlier call.
    """

    source: str
    digest: str | None
    exit: int
    result: str | None
    document: str | None
    seconds: float
    error: str | None = None
    bounds: tuple[float, float, float, float] | None = None
    counts: Mapping[str, int] = field(default_factory=dict)
    kept: bool = False

    @classmethod
    def failed(
        cls, source: str, error: TaskdataError, digest: str | None = None, seconds: float = 0.0
    ) -> BatchedSource:
        """Return the row of a source of which there is no result, the reason as the command line tells it."""
        told = error.told(as_option)
        return cls(source, digest, error.exit_code, None, None, round(seconds, 3), told)


@short_repr
@dataclass(frozen=True, slots=True)
class Batch:
    """What came of many sources.

    Parameters
    ----------
    command : str
        What was done with each.
    out : str
        Where results and summary are.
    sources : tuple of BatchedSource
        One for each source, by path.
    warnings : tuple of str
        What could not be done as it was asked for, such as a limit that this system does not know.
    """

    command: str
    out: str
    sources: tuple[BatchedSource, ...]
    warnings: tuple[str, ...] = ()

    @property
    def exit_code(self) -> int:
        """The highest exit code of a source; 0 without sources."""
        return max((item.exit for item in self.sources), default=0)
