"""What a survey of a stick, folder or file gives: each thing found, and what it most likely is."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field
from enum import StrEnum

from taskdata.dataclass import dataclass
from taskdata.findings import Finding
from taskdata.records import short_repr


class ItemKind(StrEnum):
    """What a thing on a stick is."""

    TASKDATA = "taskdata"
    FIELD = "field"
    AREA = "area"
    LINE = "line"
    GUIDANCE = "guidance"
    SWATH = "swath"
    POINT = "point"
    LOG = "log"
    RATEMAP = "ratemap"
    OTHER = "other"


class ColumnRole(StrEnum):
    """What a column of a layer holds."""

    NAME = "name"
    FARM = "farm"
    CUSTOMER = "customer"
    CROP = "crop"
    VARIETY = "variety"
    WIDTH = "width"
    HEADING = "heading"
    RATE = "rate"
    TIME = "time"
    SPEED = "speed"
    STATE = "state"
    COMMENT = "comment"


@short_repr
@dataclass(frozen=True, slots=True)
class CrsGuess:
    """The coordinate reference system that a layer most likely is in.

    Parameters
    ----------
    crs : str
        The system, as PROJ understands it.
    reasons : tuple of str
        What speaks for it, and what else would fit.
    """

    crs: str
    reasons: tuple[str, ...]


@short_repr
@dataclass(frozen=True, slots=True)
class Item:
    """A thing that was found.

    Parameters
    ----------
    path : str
        Relative to the source, containers and what lies in them joined by ``/``; below the source it is a source.
    kind : ItemKind
        What it most likely is.
    format : str
        Name of its format.
    rows : int
        Features; of a log its positions, of a task data set its elements below the root.
    confidence : float
        0 to 1: how sure ``kind`` is.
    why : str
        What ``kind`` was concluded from.
    columns : mapping of ColumnRole to tuple of str
        Which columns hold what.
    crs : str or None
        The coordinate reference system that it states; None = none.
    guess : CrsGuess or None
        The system that it most likely is in, where it states none or an implausible one.
    width_m : float or None
        Width that a swath works, in metres.
    bounds : tuple of float or None
        West, south, east and north in degrees, WGS 84; None where it has no positions or they are not known.
    """

    path: str
    kind: ItemKind
    format: str
    rows: int
    confidence: float
    why: str
    columns: Mapping[ColumnRole, tuple[str, ...]] = field(default_factory=dict)
    crs: str | None = None
    guess: CrsGuess | None = None
    width_m: float | None = None
    bounds: tuple[float, float, float, float] | None = None


@short_repr
@dataclass(frozen=True, slots=True)
class Survey:
    """What lies in a source.

    Parameters
    ----------
    source : str
        Where.
    items : tuple of Item
        Each thing found, by path.
    aside : tuple of tuple of str
        Path and reason of each file that is left aside.
    findings : tuple of Finding
        What reading found wrong.
    """

    source: str
    items: tuple[Item, ...]
    aside: tuple[tuple[str, str], ...] = ()
    findings: tuple[Finding, ...] = ()
