"""What writing a target gives: how much it holds, and what it cost."""

from __future__ import annotations

from dataclasses import field

from taskdata.dataclass import dataclass
from taskdata.findings import Finding
from taskdata.ledger import Loss
from taskdata.model.choice import Chosen
from taskdata.records import short_repr
from taskdata.results.reading import Datum


@short_repr
@dataclass(frozen=True, slots=True)
class WrittenStick:
    """One stick of a target.

    Parameters
    ----------
    target : str
        The folder whose content goes onto the stick; in a zip, its path there.
    written : dict of str to int
        How many things of each kind it holds.
    fields, tasks : tuple of str
        Identifiers of the fields and tasks on it.
    """

    target: str
    written: dict[str, int]
    fields: tuple[str, ...]
    tasks: tuple[str, ...]


@short_repr
@dataclass(frozen=True, slots=True)
class Conversion:
    """What a conversion did, or would do.

    Parameters
    ----------
    source, target : str
        As named by the caller.
    written : dict of str to int
        How many things of each kind the target holds.
    losses : tuple of Loss
        The ledger.
    datum : tuple of Datum
        How coordinates of the source were brought to WGS 84, one for each system that its layers are in.
    findings : tuple of Finding
        What reading the source found wrong.
    sticks : tuple of WrittenStick
        The sticks that the set was split over because it is more than the receiver takes; empty where it is one set.
    new_errors : tuple of Finding
        What ``check`` calls an error in an ISO-XML target that was made of layers, edited rows or records, and that the
        source did not have; places are those in the target.
    named : dict of str to int
        How many ``logs`` and ``grids`` the target names, those without a readable file included.
    beyond_hints : tuple of Finding
        What of the target the terminal may not accept by the hints of its profile, for which nothing was changed.
    chosen : Chosen or None
        What stayed behind where only a part of the source was chosen.
    bounds : tuple of float or None
        West, south, east and north of what was read, in degrees of WGS 84; west is larger than east across 180 degrees.
    """

    source: str
    target: str
    written: dict[str, int]
    losses: tuple[Loss, ...]
    datum: tuple[Datum, ...] = ()
    findings: tuple[Finding, ...] = ()
    sticks: tuple[WrittenStick, ...] = ()
    new_errors: tuple[Finding, ...] = ()
    named: dict[str, int] = field(default_factory=dict)
    chosen: Chosen | None = None
    beyond_hints: tuple[Finding, ...] = ()
    bounds: tuple[float, float, float, float] | None = None
