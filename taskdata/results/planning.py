"""What a plan of passes gives; degrees WGS 84, metres, seconds."""

from __future__ import annotations

from enum import StrEnum

from taskdata.dataclass import dataclass
from taskdata.findings import Finding
from taskdata.model.fields import Field, GuidanceKind, GuidanceLine
from taskdata.model.shapes import Coordinates
from taskdata.records import short_repr
from taskdata.results.conversion import Conversion


class PlanNote(StrEnum):
    """What the reader of a plan has to know."""

    NO_BOUNDARY = "no-boundary"
    NO_WORK = "no-work"
    NO_HEADLAND_LEFT = "no-headland-left"
    SPIRAL = "spiral"
    LIMITED = "limited"
    OTHER_FIELDS = "other-fields"
    FASTER = "faster"
    UNDONE = "undone"
    UNDONE_CORNERS = "undone-corners"
    OVER_EDGE = "over-edge"


class Ends(StrEnum):
    """Where rows end."""

    CENTRE = "centre"
    FULL = "full"


@short_repr
@dataclass(frozen=True, eq=False)
class PlannedPass:
    """A piece of work that is driven without a break.

    Parameters
    ----------
    number : int
        0 the guidance line itself, to the right of it positive, to the left negative; of the headland the round,
        from 1 at the edge of the field.
    part : int
        Which piece of the row or round this is, from 1.
    headland : bool
        Whether it goes round the field rather than across.
    points : array (n, 2)
        Longitude and latitude; of a closed round the last point repeats the first.
    length_m : float
        On the ellipsoid.
    """

    number: int
    part: int
    headland: bool
    points: Coordinates
    length_m: float


@short_repr
@dataclass(frozen=True, slots=True)
class Alternative:
    """What another heading would take; it includes the headland."""

    heading_deg: float
    passes: int
    length_m: float
    turns: int
    time_s: float | None


@short_repr
@dataclass(frozen=True, eq=False)
class PassPlan:
    """Parallel passes of a field.

    Parameters
    ----------
    field : Field
        The field.
    line : GuidanceLine
        What row 0 runs along: a line of the set, or one made along the heading asked for.
    made : bool
        Whether the line was made here.
    heading_deg : float or None
        From the first to the last point of the line, clockwise from true north; None for a pivot.
    spacing_m : float
        Effective width: from one pass to the next.
    width_m : float
        Working width of the bar.
    ends : Ends
        Where the rows end.
    undone_m2, undone_headland_m2 : float or None
        Ground that the plan leaves: where rows go, and in the corners of the headland. None without a boundary.
    pieces : tuple of PlannedPass
        Headland rounds first, then rows by number, leftmost first.
    length_m : float
        Length of all pieces.
    turns : int
        How often the machine goes from one piece to the next.
    time_s : float or None
        In work and in turns; None without a speed.
    alternatives : tuple of Alternative
        Other headings, best first.
    notes : tuple of (PlanNote, str)
        What has to be known, with a name or figure.
    method : str
        How the passes were laid and measured, in words.
    """

    field: Field
    line: GuidanceLine
    made: bool
    heading_deg: float | None
    spacing_m: float
    pieces: tuple[PlannedPass, ...]
    length_m: float
    turns: int
    time_s: float | None
    alternatives: tuple[Alternative, ...] = ()
    notes: tuple[tuple[PlanNote, str], ...] = ()
    width_m: float = 0.0
    ends: Ends = Ends.FULL
    undone_m2: float | None = None
    undone_headland_m2: float | None = None
    method: str = ""

    @property
    def passes(self) -> int:
        """How many pieces are driven, each without a break, rounds of the headland counted in."""
        return len(self.pieces)

    @property
    def rows(self) -> int:
        """How many rows have work in them, without the headland."""
        return len({piece.number for piece in self.pieces if not piece.headland})

    @property
    def left(self) -> int:
        """How many rows lie left of the line."""
        return len({piece.number for piece in self.pieces if not piece.headland and piece.number < 0})

    @property
    def right(self) -> int:
        """How many rows lie right of the line."""
        return len({piece.number for piece in self.pieces if not piece.headland and piece.number > 0})

    @property
    def kind(self) -> GuidanceKind:
        """How the line is defined."""
        return self.line.kind


@short_repr
@dataclass(frozen=True, slots=True)
class Passes:
    """A plan of passes.

    Parameters
    ----------
    source : str
        Where the field was read from.
    plan : PassPlan
    written : Conversion or None
        What was written of it; None where nothing was to be written.
    findings : tuple of Finding
        What reading the source found wrong.
    """

    source: str
    plan: PassPlan
    written: Conversion | None = None
    findings: tuple[Finding, ...] = ()
