"""What reading a source gives: the records, how its coordinates were brought to WGS 84, and what was not taken over."""

from __future__ import annotations

from dataclasses import dataclass

from taskdata.ledger import Loss
from taskdata.model.dataset import Dataset
from taskdata.records import short_repr


@short_repr
@dataclass(frozen=True, slots=True)
class Datum:
    """How coordinates were brought to WGS 84.

    Parameters
    ----------
    source : str
        Name of the system that they were in.
    target : str
        ``EPSG:4326``.
    operation : str
        PROJ's description of what was done.
    accuracy_m : float or None
        Its stated accuracy; None = not known.
    better_missing : tuple of str
        Grids that a more accurate operation needs and that are not installed.
    """

    source: str
    target: str
    operation: str
    accuracy_m: float | None
    better_missing: tuple[str, ...] = ()


@short_repr
@dataclass(frozen=True, slots=True)
class Loaded:
    """What was read.

    Parameters
    ----------
    dataset : Dataset
        The records; what reading found wrong is in its ``findings``.
    datum : Datum or None
        How coordinates were brought to WGS 84; None where all of them were in it.
    losses : tuple of Loss
        What the source says and the records do not hold.
    """

    dataset: Dataset
    datum: Datum | None = None
    losses: tuple[Loss, ...] = ()
