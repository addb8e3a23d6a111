"""Guidance lines with their direction, and their first parallels."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from taskdata.errors import UsageError
from taskdata.fieldwork.planning.parallels import row_zero, rows_of
from taskdata.geometry.plane import LocalPlane
from taskdata.model.dataset import Dataset
from taskdata.model.fields import Field, GuidanceKind, GuidanceLine
from taskdata.page.layers.ground import titled
from taskdata.page.scene import Coordinates, Form, SceneLayer, Shape
from taskdata.page.wording import Wording
from taskdata.reports.inspect import guidance_document
from taskdata.translations import N_

KIND_WORDS = {
    GuidanceKind.AB: N_("A-B line"),
    GuidanceKind.A_PLUS: N_("A+ and heading"),
    GuidanceKind.CURVE: N_("Curve"),
    GuidanceKind.PIVOT: N_("Pivot"),
    GuidanceKind.SPIRAL: N_("Spiral"),
}
SHOWN_PARALLELS = 2
"""How many parallels are drawn to each side."""


def guidance_layers(dataset: Dataset, word: Wording) -> Iterator[SceneLayer]:
    """Yield the parallels of all guidance lines, then the lines."""
    lines, parallels = [], []
    for field in dataset.fields:
        for line in (*field.guidance, *field.line_guidance):
            plane = LocalPlane.about([line.points])
            if plane is None:
                continue
            title, facts = titled(word.t(KIND_WORDS[line.kind]), line.name, line.id), _facts(line, field, word)
            shown = course_of(line, plane)
            if shown is not None:
                label = line.name or line.id or ""
                lines.append(Shape(Form.LINE, [[shown]], "guidance", title, facts, label, arrow=True))
            others = _parallels(line, plane)
            if others:
                beside = word.t("First parallels of {line}", line=line.name or line.id or title)
                parallels.append(Shape(Form.LINE, [others], "parallel", beside, facts))
    yield SceneLayer("parallels", word.t("First parallels"), parallels)
    yield SceneLayer("guidance", word.t("Guidance lines"), lines)


def course_of(line: GuidanceLine, plane: LocalPlane) -> Coordinates | None:
    """Return the line that is steered, or else what is stored of it, None where that is no line."""
    try:
        return plane.inverse(row_zero(line, plane))
    except UsageError:
        return line.points if len(line.points) > 1 and np.isfinite(line.points).all() else None


def _parallels(line: GuidanceLine, plane: LocalPlane) -> list[Coordinates]:
    """Return the first parallels on each side on which there are any."""
    if not line.spacing_m or not np.isfinite(line.spacing_m) or line.spacing_m <= 0.0:
        return []
    left, right = (
        SHOWN_PARALLELS if stated is None else max(0, min(stated, SHOWN_PARALLELS))
        for stated in (line.swaths_left, line.swaths_right)
    )
    try:
        rows = rows_of(replace(line, swaths_left=left, swaths_right=right), line.spacing_m, plane, None)
    except UsageError:
        return []
    return [plane.inverse(piece) for number, pieces in rows if number for piece in pieces]


def _facts(line: GuidanceLine, field: Field, word: Wording) -> list[tuple[str, str]]:
    found = guidance_document(line, field)
    facts = [(word.t("Field"), field.name or field.id)]
    if found["heading_deg"] is not None:
        facts.append((word.t("Heading"), word.degrees(found["heading_deg"])))
    if found["length_m"] is not None:
        facts.append((word.t("Length"), word.length(found["length_m"])))
    if line.spacing_m is not None:
        facts.append((word.t("Spacing of passes"), word.length(line.spacing_m, 2)))
    if line.radius_m is not None:
        facts.append((word.t("Radius"), word.length(line.radius_m)))
    return facts
