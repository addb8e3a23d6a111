"""Planned passes as a layer, or back in the set as guidance lines."""

from __future__ import annotations

import os
from dataclasses import replace
from typing import Unpack

from taskdata.amounts import plain
from taskdata.errors import UsageError
from taskdata.exchange.convert import write
from taskdata.exchange.load import load
from taskdata.exchange.targets import Target, target_of
from taskdata.exchange.write_layers import write_results
from taskdata.fieldwork.planning.plan_passes import plan_passes
from taskdata.fieldwork.planning.plan_request import PlanRequest
from taskdata.file_formats.table import ISOXML
from taskdata.formats.columns import GEOMETRY, Layer, from_rows
from taskdata.formats.foreign.options import Reading
from taskdata.formats.geometries import shapes
from taskdata.formats.layers.passes import SPEC
from taskdata.geometry.plane import with_antimeridian
from taskdata.model.dataset import Dataset
from taskdata.model.fields import GuidanceGroup, GuidanceKind, GuidanceLine
from taskdata.results.conversion import Conversion
from taskdata.results.planning import Ends, Passes, PassPlan, PlannedPass

FASTEST_KM_H = 100.0

_NOT = 4
"""Propagation and extension of a planned pass: it is driven as it stands."""


def passes(
    data: Dataset | str | os.PathLike[str],
    *,
    field: str | None = None,
    line: str | None = None,
    width_m: float | None = None,
    overlap_m: float = 0.0,
    skip_m: float = 0.0,
    headland: int = 0,
    ends: str = "full",
    speed_km_h: float | None = None,
    output: str | os.PathLike[str] | None = None,
    to: str | None = None,
    overwrite: bool = False,
    **reading: Unpack[Reading],
) -> Passes:
    """Plan the parallel passes of a field, and write them where an output is named.

    They steer a machine: drive the first one by eye, keep people clear.

    Parameters
    ----------
    data : Dataset or path
        What ``read`` returned, or what it takes.
    field : str, optional
        Identifier or name; default the first field with a guidance line.
    line : str, optional
        Identifier or name of a guidance line, a heading in degrees, or ``best``: the heading with the fewest passes,
        then the least turning. Default the first line of the field, without one the best heading.
    width_m, overlap_m, skip_m : float, optional
        Working width, less overlap or plus skip. Without a width the spacing that the line states, else the width of
        the only implement.
    headland : int
        Widths of headland to drive round the field and its holes.
    ends : str
        ``full``: rows end where the whole width is past the edge, so that slanted edges are worked; ``centre``: where
        their middle meets it.
    speed_km_h : float, optional
        Speed of work; without it no time is estimated. A turn counts 20 s (common practice).
    output : path, optional
        An ISO-XML target gets the whole set with a new guidance group in the field; another format the layer
        ``passes``.
    to : str, optional
        Format of the output; default by its name.
    overwrite : bool
        Allow that an existing output is replaced.
    **reading
        As for ``read``.

    Raises
    ------
    UsageError, SourceError, TargetError
        Nothing can be planned; the source could not be read; the output could not or may not be written.

    Examples
    --------
    >>> import taskdata
    >>> plan = taskdata.passes("samples/office", field="PFD1", line="GPN1", width_m=24.0, headland=1).plan
    >>> plan.passes, round(plan.length_m), plan.turns
    (12, 5551, 11)
    """
    if speed_km_h is not None and not 0.0 < speed_km_h <= FASTEST_KM_H:
        raise UsageError(f"{plain(speed_km_h)} km/h is not a working speed", remedy="Give km/h, such as 8")
    dataset = data if isinstance(data, Dataset) else load(data, **reading).dataset
    goal = None if output is None else target_of(output, to, dataset.source)
    speed = None if speed_km_h is None else speed_km_h / 3.6
    request = PlanRequest(field, line, width_m, overlap_m, skip_m, headland, speed, ends=_ends(ends))
    plan = plan_passes(dataset, request)
    done = None if goal is None else _written(dataset, plan, goal, overwrite=overwrite)
    return Passes(dataset.source, plan, done, dataset.findings)


def _written(dataset: Dataset, plan: PassPlan, goal: Target, *, overwrite: bool) -> Conversion:
    """Write a plan: back into the set, or as a layer of its own."""
    if goal.format == ISOXML:
        return write(with_passes(dataset, plan), goal.named, to=goal.format, overwrite=overwrite)
    losses = write_results([layer_of(plan)], goal, overwrite=overwrite)
    return Conversion(
        dataset.source, os.fspath(goal.named), {"passes": plan.passes}, tuple(losses), findings=dataset.findings
    )


def _ends(name: str) -> Ends:
    try:
        return Ends(name)
    except ValueError:
        raise UsageError("is not a place where rows can end", where=name, remedy="Choose full or centre") from None


def layer_of(plan: PassPlan) -> Layer:
    """Return the layer of a plan."""
    rows = [
        {
            "order": order,
            "name": name_of(piece),
            "field": plan.field.id,
            "line": plan.line.id or plan.line.name,
            "row": piece.number,
            "part": piece.part,
            "headland": piece.headland,
            "spacing_m": plan.spacing_m,
            "length_m": piece.length_m,
            GEOMETRY: shapes.to_wkb(shapes.line(with_antimeridian(piece.points))),
        }
        for order, piece in enumerate(plan.pieces, start=1)
    ]
    return from_rows(SPEC, rows)


def with_passes(dataset: Dataset, plan: PassPlan) -> Dataset:
    """Return the set with the passes of a plan as a new group of guidance lines in its field."""
    lines = tuple(
        GuidanceLine(
            kind=GuidanceKind.AB if len(piece.points) == 2 else GuidanceKind.CURVE,
            points=piece.points,
            name=name_of(piece),
            spacing_m=plan.spacing_m,
            propagation=_NOT,
            extension=_NOT,
        )
        for piece in plan.pieces
    )
    if not lines:
        return dataset
    name = f"{plan.spacing_m:g} m {plan.line.name or plan.line.id or ''}"[:32].rstrip()
    group = GuidanceGroup(lines, name=name)
    fields = tuple(
        replace(field, groups=(*field.groups, group)) if field is plan.field else field for field in dataset.fields
    )
    return dataset.with_changes(fields=fields)


def name_of(piece: PlannedPass) -> str:
    """Return the short name of a pass: 0, R2, L2 or H1, and from the second piece on its part."""
    side = "H" if piece.headland else "R" if piece.number > 0 else "L" if piece.number < 0 else ""
    return f"{side}{abs(piece.number)}" + (f".{piece.part}" if piece.part > 1 else "")
