"""What is wanted of a plan of passes."""

from __future__ import annotations

from taskdata.dataclass import dataclass
from taskdata.results.planning import Ends


@dataclass(frozen=True, slots=True)
class PlanRequest:
    """How passes are wanted.

    Parameters
    ----------
    field, line : str or None
        Identifier or name of the field, and of the guidance line. A number as ``line`` is a heading in degrees,
        ``best`` the best heading. None = the first with a guidance line; without one the best heading.
    width_m : float or None
        Working width; None = the spacing that the line states, else the width of the only implement.
    overlap_m, skip_m : float
        By how much neighbouring passes are meant to overlap, or to leave a gap.
    headland : int
        How many widths of headland to drive round the field and its holes.
    speed_m_s : float or None
        Speed of work, for the time.
    turn_s : float
        Time of a turn (20 s: common practice for a machine of medium width).
    ends : Ends
        Where rows end: where the whole width is past the edge, or where their middle meets it.
    """

    field: str | None = None
    line: str | None = None
    width_m: float | None = None
    overlap_m: float = 0.0
    skip_m: float = 0.0
    headland: int = 0
    speed_m_s: float | None = None
    turn_s: float = 20.0
    ends: Ends = Ends.FULL
