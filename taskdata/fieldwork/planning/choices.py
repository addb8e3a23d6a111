"""Which field, line and width a plan of passes is made for."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import NamedTuple

from taskdata.amounts import plain
from taskdata.dataclass import dataclass
from taskdata.errors import UsageError
from taskdata.fieldwork.implement import Implement
from taskdata.fieldwork.planning.plan_request import PlanRequest
from taskdata.model.dataset import Dataset
from taskdata.model.fields import Field, GuidanceLine
from taskdata.model.lookup import label, one_of
from taskdata.model.shapes import Area

BEST = "best"
NARROWEST_M = 0.05
_ALSO = "A heading in degrees and best are taken too"


@dataclass(frozen=True, eq=False)
class LineChoice:
    """What a plan is made for.

    Parameters
    ----------
    field : Field
        The field.
    line : GuidanceLine or None
        A line of the field.
    heading_deg : float or None
        A heading in place of a line.
    best : bool
        The best heading in place of a line.
    valid : tuple of tuples of Area
        Where group and pattern are valid, where they say so.
    others : tuple of str
        Identifiers and names of fields that could have been chosen as well.
    """

    field: Field
    line: GuidanceLine | None = None
    heading_deg: float | None = None
    best: bool = False
    valid: tuple[tuple[Area, ...], ...] = ()
    others: tuple[str, ...] = ()


def choose(dataset: Dataset, request: PlanRequest) -> LineChoice:
    """Return the field and line that a request means.

    Raises
    ------
    UsageError
        There is none, or a name fits several.
    """
    heading = _number(request.line)
    best = request.line is not None and request.line.strip().casefold() == BEST
    fields = _named_fields(dataset, request.field)
    wanted = request.line if not best and heading is None else None
    usable = [field for field in fields if _lines(field)] if not best and heading is None else fields
    if wanted is not None:
        line = one_of([line for field in usable for line in _lines(field)], wanted, "guidance line", also=_ALSO)
        field = next(field for field in usable if any(item is line for item in _lines(field)))
        return LineChoice(field, line, valid=_valid(field, line))
    field = next(iter(usable), None) or next((item for item in fields if item.boundaries), fields[0])
    others = tuple(label(item) for item in fields if item is not field)
    if heading is not None:
        return LineChoice(field, heading_deg=heading, others=others)
    lines = _lines(field) if not best else []
    if not lines:
        return LineChoice(field, best=True, others=others)
    return LineChoice(field, lines[0], valid=_valid(field, lines[0]), others=others)


class Widths(NamedTuple):
    """Metres from one pass to the next, and from one end of the bar to the other."""

    spacing: float
    bar: float


def widths(dataset: Dataset, line: GuidanceLine | None, request: PlanRequest) -> Widths:
    """Return the distance from one pass to the next, and the working width.

    The distance is the width given, less overlap or plus skip; without one the spacing that the line states, which is
    an effective width already; without that the width of the only implement of the set, less overlap or plus skip.
    Where only a spacing is known, the bar counts as wide as that.

    Raises
    ------
    UsageError
        No width is known, or none is left.
    """
    implement = Implement(width_m=request.width_m, overlap_m=request.overlap_m, skip_m=request.skip_m)
    width = request.width_m
    changed = bool(request.overlap_m or request.skip_m)
    if width is None and line is not None and line.spacing_m and not changed:
        return Widths(_enough(line.spacing_m), line.spacing_m)
    if width is None:
        stated = {label(machine): machine.working_width_m for machine in dataset.machines if machine.working_width_m}
        if len(set(stated.values())) != 1:
            known = ", ".join(f"{name} {value:g} m" for name, value in stated.items())
            why = f"several implements: {known}" if known else "neither the line nor a machine states one"
            raise UsageError("the working width is not known", why=why, remedy="Give [[width_m]] in metres")
        width = next(iter(stated.values()))
    return Widths(_enough(replace(implement, width_m=width).spacing(width)), width)


def _enough(spacing: float) -> float:
    if not (math.isfinite(spacing) and spacing >= NARROWEST_M):
        raise UsageError(
            f"passes cannot be {plain(spacing)} m apart", remedy=f"Give a width of {NARROWEST_M} m or more"
        )
    return spacing


def _named_fields(dataset: Dataset, name: str | None) -> list[Field]:
    if not dataset.fields:
        raise UsageError("there is no field to plan passes for", where=dataset.source, remedy="Add a field first")
    return list(dataset.fields) if name is None else [dataset.field(name)]


def _lines(field: Field) -> list[GuidanceLine]:
    return [*field.guidance, *field.line_guidance]


def _valid(field: Field, line: GuidanceLine) -> tuple[tuple[Area, ...], ...]:
    """Return where the group of a line and the line itself are valid."""
    groups = [group.boundaries for group in field.groups if line in group.lines]
    return tuple(areas for areas in (*groups, line.boundaries) if areas)


def _number(text: str | None) -> float | None:
    """Return a heading that stands in place of a name, in [0, 360), None where it is none."""
    try:
        value = float(text) if text is not None else math.nan
    except ValueError:
        return None
    return value % 360.0 if math.isfinite(value) else None
