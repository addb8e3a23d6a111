"""How well passes followed a guidance line or the parallels of it."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress

import numpy as np

from taskdata.errors import UsageError
from taskdata.fieldwork.driving.straightness import EXTENDED_M, STRANGE, against_line
from taskdata.fieldwork.implement import Implement
from taskdata.fieldwork.planning.parallels import row_zero
from taskdata.fieldwork.sweeps.log_work import LogWork
from taskdata.fieldwork.sweeps.side_by_side import at_work, width_of
from taskdata.geometry.plane import LocalPlane
from taskdata.model.dataset import Dataset
from taskdata.model.fields import Field, GuidanceKind, GuidanceLine
from taskdata.model.lookup import matching, one_of
from taskdata.results.driving import LineFollowing

_REPEATED = frozenset({GuidanceKind.AB, GuidanceKind.A_PLUS, GuidanceKind.CURVE, GuidanceKind.PIVOT})
_EXTENDED = _REPEATED - {GuidanceKind.PIVOT}
MOST_PLACES = 2_000_000
"""So many positions are compared with lines to find the one that was followed: of long logs few lines or none."""


def chosen_line(dataset: Dataset, name: str, field: Field | None) -> GuidanceLine | None:
    """Return the line of that identifier or name: of the field; without a known field the only one of the set.

    None where it lies in another field, or where several fields have such a line.

    Raises
    ------
    UsageError
        The set has no such line, or the field several.
    """
    every = matching(dataset.guidance, name)
    own = matching(() if field is None else (*field.guidance, *field.line_guidance), name)
    if len(own) > 1 or not every:
        return one_of(own or dataset.guidance, name, "guidance line")
    found = every if field is None else own
    return found[0] if len(found) == 1 else None


def followed_line(
    logs: Sequence[Sequence[LogWork]], lines: Sequence[GuidanceLine], plane: LocalPlane, implement: Implement
) -> LineFollowing | None:
    """Return how well the line was followed that the logs were driven by, as far as they tell; None where by none.

    That is the one of several lines that most passes run along, of equal ones the one that they lie nearest to: more
    passes along it than between its parallels, and 95 % of the places nearer than a fifth of the spacing, or without
    parallels of the width, from which on a pass counts as one of another line. Without logs none.
    """
    widest = max((width_of(tools) for tools in logs), default=0.0)
    places = sum(len(tools[0].path) for tools in logs)
    found = []
    for line in lines[: MOST_PLACES // max(places, 1)]:
        with suppress(UsageError, ValueError):
            found.append(line_following(logs, line, plane, implement))
    good = [
        (error.passes, -error.p95_m, item)
        for item in found
        if (error := item.error) is not None
        and error.passes > error.others
        and error.p95_m < STRANGE * (item.spacing_m or widest)
    ]
    return max(good, key=lambda rated: rated[:2])[2] if good else None


def line_following(
    logs: Sequence[Sequence[LogWork]], line: GuidanceLine, plane: LocalPlane, implement: Implement
) -> LineFollowing:
    """Return how well the widest bars of logs followed a line.

    The parallels lie apart as the line says; as the width, overlap or skip says where one of these is given, or where
    the line says nothing.
    """
    name = line.id or line.name or "the line"
    if not logs:
        return LineFollowing(name, None, None)
    said = implement.width_m is not None or implement.overlap_m or implement.skip_m
    width = implement.spacing(max(width_of(tools) for tools in logs))
    spacing = width if said or not line.spacing_m else line.spacing_m
    error = against_line(
        np.concatenate([tools[0].path for tools in logs]),
        row_zero(line, plane),
        working=np.concatenate([np.append(at_work(tools), False)[: len(tools[0].path)] for tools in logs]),
        spacing=spacing if line.kind in _REPEATED else None,
        extend=EXTENDED_M if line.kind in _EXTENDED else 0.0,
    )
    return LineFollowing(name, spacing if line.kind in _REPEATED else None, error)
