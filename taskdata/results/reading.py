"""What reading a source gives: the records, how its coordinates were brought to WGS 84, and what was not taken over."""

from __future__ import annotations

from taskdata.dataclass import dataclass
from taskdata.ledger import Loss
from taskdata.model.dataset import Dataset
from taskdata.records import short_repr


@short_repr
@dataclass(frozen=True, slots=True)
class Datum:
    """How the coordinates of layers in one system were brought to WGS 84.

    Parameters
    ----------
    layers : tuple of str
        Names of the layers that are in it.
    source : str
        Name of the system.
    target : str
        ``EPSG:4326``.
    operation : str
        PROJ's description of what was done; ``identity`` where they were left as they are.
    accuracy_m : float or None
        The stated accuracy of the operation in metres; None = not known.
    note : str or None
        What the operation leaves open, such as the movement of plates.
    moved : bool
        Whether the coordinates are others than those that were read.
    better_missing : tuple of str
        Grids that a more accurate operation needs and that are not installed.
    """

    layers: tuple[str, ...]
    source: str
    target: str
    operation: str
    accuracy_m: float | None
    note: str | None = None
    moved: bool = True
    better_missing: tuple[str, ...] = ()


@short_repr
@dataclass(frozen=True, slots=True)
class Loaded:
    """What was read.

    Parameters
    ----------
    dataset : Dataset
        The records; what reading found wrong is in its ``findings``.
    datum : tuple of Datum
        How coordinates were brought to WGS 84, one for each system that layers are in; empty for a task data set.
    losses : tuple of Loss
        What the source says and the records do not hold.
    """

    dataset: Dataset
    datum: tuple[Datum, ...] = ()
    losses: tuple[Loss, ...] = ()
