"""Customers, farms, fields and their guidance."""

from __future__ import annotations

from dataclasses import field
from enum import StrEnum

from taskdata.dataclass import dataclass
from taskdata.findings import Place
from taskdata.model.shapes import Area, Coordinates, Line, LineKind, Point
from taskdata.records import short_repr

CONTRADICTION_DEG = 0.5
"""Degrees by which a stated heading may differ from that of the points: about 4 m on 500 m (common practice)."""


def turned(first_deg: float, second_deg: float) -> float:
    """Return by how many degrees two headings differ, from 0 to 180."""
    return abs((first_deg - second_deg + 180.0) % 360.0 - 180.0)


class GuidanceKind(StrEnum):
    """How a guidance line is given (ISO 11783-10 D.30)."""

    AB = "ab"
    A_PLUS = "a_plus"
    CURVE = "curve"
    PIVOT = "pivot"
    SPIRAL = "spiral"


@short_repr
@dataclass(frozen=True, eq=False)
class Customer:
    """A person or firm that owns farms or orders work (CTR, D.16): ``id``, ``name`` and ``first_name``."""

    id: str
    name: str
    first_name: str | None = None
    key: int | None = None
    place: Place = field(default_factory=Place)


@short_repr
@dataclass(frozen=True, eq=False)
class Farm:
    """A farm (FRM, D.26): ``id``, ``name``, and as ``customer`` the identifier of its customer."""

    id: str
    name: str
    customer: str | None = None
    key: int | None = None
    place: Place = field(default_factory=Place)


@short_repr
@dataclass(frozen=True, eq=False)
class GuidanceLine:
    """A line, direction or circle that a machine is steered along.

    Parameters
    ----------
    kind : GuidanceKind
        How it is given (GPN, D.30).
    name, id : str or None
        Designator, and identifier such as ``GPN3``.
    points : array (n, 2)
        A and B (``ab``), A (``a_plus``), A to B (``curve``, ``spiral``), centre and optionally A and B (``pivot``).
    heading_deg : float or None
        Clockwise from true north; given with ``a_plus``.
    radius_m : float or None
        Of a pivot.
    spacing_m : float or None
        Distance between neighbouring passes.
    swaths_left, swaths_right : int or None
        How many passes to each side; None = no limit.
    propagation : int or None
        1 both sides, 2 left, 3 right, 4 none (D.30); None = both.
    extension : int or None
        1 both ends, 2 first point only, 3 last point only, 4 none; None = both.
    direction : int or None
        Of a pivot: 1 clockwise, 2 counter-clockwise, 3 full circle.
    boundaries : tuple of Area
        Where the line is valid.
    """

    kind: GuidanceKind
    points: Coordinates
    name: str | None = None
    id: str | None = None
    heading_deg: float | None = None
    radius_m: float | None = None
    spacing_m: float | None = None
    swaths_left: int | None = None
    swaths_right: int | None = None
    propagation: int | None = None
    extension: int | None = None
    direction: int | None = None
    boundaries: tuple[Area, ...] = ()
    key: int | None = None
    place: Place = field(default_factory=Place)


@short_repr
@dataclass(frozen=True, eq=False)
class GuidanceGroup:
    """Guidance lines that are used together (GGP, D.29).

    Parameters
    ----------
    lines : tuple of GuidanceLine
        In the order of the source.
    name, id : str or None
        Designator, and identifier such as ``GGP1``.
    boundaries : tuple of Area
        Where they are valid; empty = everywhere.
    """

    lines: tuple[GuidanceLine, ...]
    name: str | None = None
    id: str | None = None
    boundaries: tuple[Area, ...] = ()
    key: int | None = None
    place: Place = field(default_factory=Place)


@short_repr
@dataclass(frozen=True, slots=True, weakref_slot=True, eq=False)
class Field:
    """A field (PFD, D.37): its boundary polygons, the other areas in it, lines, points and guidance.

    Parameters
    ----------
    id, name : str
        Identifier such as ``PFD3``, and designator.
    code : str or None
        Code of the office.
    declared_area_m2 : int or None
        Area as stated, m².
    customer, farm, crop, variety, parent : str or None
        Identifiers; ``parent`` is the field that this one is a part of.
    boundaries : tuple of Area
        Polygons of the boundary.
    areas : tuple of Area
        Every other polygon: headlands, obstacles, water ...
    lines : tuple of Line
        Those that a set before version 4 keeps guidance in included.
    points : tuple of Point
        Single places.
    groups : tuple of GuidanceGroup
        Guidance, from version 4 on.
    """

    id: str
    name: str
    code: str | None = None
    declared_area_m2: int | None = None
    customer: str | None = None
    farm: str | None = None
    crop: str | None = None
    variety: str | None = None
    parent: str | None = None
    boundaries: tuple[Area, ...] = ()
    areas: tuple[Area, ...] = ()
    lines: tuple[Line, ...] = ()
    points: tuple[Point, ...] = ()
    groups: tuple[GuidanceGroup, ...] = ()
    key: int | None = None
    place: Place = field(default_factory=Place)

    @property
    def guidance(self) -> tuple[GuidanceLine, ...]:
        """Every guidance line of every group."""
        return tuple(line for group in self.groups for line in group.lines) if self.groups else ()

    @property
    def line_guidance(self) -> tuple[GuidanceLine, ...]:
        """The guidance lines among ``lines``, seen as such: A to B where they have two points, else a curve.

        They share key, place and points with their line; a writer of layers takes either the lines or these.
        """
        guiding = (line for line in self.lines if line.kind is LineKind.GUIDANCE)
        return tuple(map(_as_guidance, guiding)) if self.lines else ()


def _as_guidance(line: Line) -> GuidanceLine:
    return GuidanceLine(
        kind=GuidanceKind.AB if len(line.points) == 2 else GuidanceKind.CURVE,
        points=line.points,
        name=line.name,
        id=line.id,
        spacing_m=line.width_m,
        key=line.key,
        place=line.place,
    )
