"""How well passes followed a guidance line or the parallels of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from taskdata.errors import UsageError
from taskdata.fieldwork.implement import Implement
from taskdata.fieldwork.rows import row_zero
from taskdata.fieldwork.side_by_side import at_work, width_of
from taskdata.fieldwork.straightness import EXTENDED_M, CrossTrackError, against_line
from taskdata.fieldwork.work import Work
from taskdata.geometry.plane import LocalPlane
from taskdata.model.dataset import Dataset
from taskdata.model.fields import Field, GuidanceKind, GuidanceLine

_REPEATED = frozenset({GuidanceKind.AB, GuidanceKind.A_PLUS, GuidanceKind.CURVE, GuidanceKind.PIVOT})
_EXTENDED = _REPEATED - {GuidanceKind.PIVOT}


@dataclass(frozen=True, slots=True)
class Followed:
    """The cross-track error of the middle of the implement against a guidance line.

    Parameters
    ----------
    line : str
        Identifier of the line, or its name.
    spacing_m : float or None
        Distance between the parallels of the line; each place counts against the nearest. None = the line alone.
    error : CrossTrackError or None
        None where no pass runs along the line.
    """

    line: str
    spacing_m: float | None
    error: CrossTrackError | None


def chosen_line(dataset: Dataset, name: str, field: Field | None) -> GuidanceLine | None:
    """Return the line of that identifier or name: of the field; without a known field the only one of the set.

    None where it lies in another field, or where several fields have such a line.

    Raises
    ------
    UsageError
        The set has no such line, or the field several.
    """
    own = _named(field, name) if field is not None else []
    every = [line for item in dataset.fields for line in _named(item, name)]
    if len(own) > 1:
        names = ", ".join(str(line.id) for line in own)
        raise UsageError("names several guidance lines", where=name, remedy=f"Choose one of: {names}")
    if not every:
        known = [line for item in dataset.fields for line in (*item.guidance, *item.line_guidance)]
        names = ", ".join(str(line.id or line.name) for line in known) or "none"
        raise UsageError("the set has no such guidance line", where=name, remedy=f"There are: {names}")
    found = every if field is None else own
    return found[0] if len(found) == 1 else None


def _named(field: Field, name: str) -> list[GuidanceLine]:
    return [line for line in (*field.guidance, *field.line_guidance) if name in {line.id, line.name}]


def followed(logs: Sequence[Sequence[Work]], line: GuidanceLine, plane: LocalPlane, implement: Implement) -> Followed:
    """Return how well the widest bars of logs followed a line.

    The parallels lie apart as the line says; as the width, overlap or skip says where one of these is given, or where
    the line says nothing.
    """
    name = line.id or line.name or "the line"
    if not logs:
        return Followed(name, None, None)
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
    return Followed(name, spacing if line.kind in _REPEATED else None, error)
