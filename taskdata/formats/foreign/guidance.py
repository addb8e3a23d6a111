"""Guidance lines: A-B lines of two points, curves of more, and A+ of a point with a heading.

The lines of a layer in a field make a group, named after the layer. The spacing is that of a column of widths; a
heading beside two points is compared with them and not kept, for the points are what is steered by.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import field, replace

import numpy as np

from taskdata.dataclass import dataclass
from taskdata.findings import Finding, Place
from taskdata.formats.foreign.features import Feature, Part
from taskdata.formats.foreign.homes import Homes
from taskdata.formats.foreign.roles.column_values import RANGED
from taskdata.formats.geometries import shapes
from taskdata.formats.layers.wording import id_prefix
from taskdata.geometry.geodesy import azimuth
from taskdata.model.fields import CONTRADICTION_DEG, GuidanceGroup, GuidanceKind, GuidanceLine, turned
from taskdata.model.shapes import Coordinates
from taskdata.raised_rules.import_.heading_contradicts import RULE as HEADING_CONTRADICTS
from taskdata.raised_rules.import_.lines_steer import RULE as LINES_STEER
from taskdata.raised_rules.import_.value_left_out import RULE as VALUE_LEFT_OUT
from taskdata.results.survey import ColumnRole


@dataclass
class Guidance:
    """Guidance lines while they are made."""

    groups: dict[tuple[int, str], list[GuidanceLine]] = field(default_factory=dict)
    parts: dict[int, tuple[Part, int]] = field(default_factory=dict)
    findings: list[Finding] = field(default_factory=list)
    _number: int = 0

    def add(self, feature: Feature, owner: int) -> None:
        """Make the guidance lines of a row and give them to a field."""
        for line in self._lines(feature):
            self._number += 1
            named = replace(line, id=f"{id_prefix('GPN')}{self._number}")
            self.groups.setdefault((owner, feature.table), []).append(named)
            part, count = self.parts.get(id(feature.part), (feature.part, 0))
            self.parts[id(feature.part)] = (part, count + 1)

    def put(self, homes: Homes) -> None:
        """Give every field its groups, and tell of each layer that its lines steer machines."""
        for count, ((owner, table), lines) in enumerate(self.groups.items(), 1):
            group = GuidanceGroup(tuple(lines), name=table, id=f"{id_prefix('GGP')}{count}")
            homes.fields[owner] = replace(homes.fields[owner], groups=(*homes.fields[owner].groups, group))
        for part, number in self.parts.values():
            place = Place(file=part.raw.file)
            self.findings.append(LINES_STEER.at(place, count=number, layer=part.raw.label, reason=part.judgement.why))

    def _lines(self, feature: Feature) -> Iterator[GuidanceLine]:
        spacing, heading = self._spacing(feature), feature.number(ColumnRole.HEADING)
        if feature.geometry.geom_type == "Point":
            points = np.array([[feature.geometry.x, feature.geometry.y]])
            assert heading is not None  # noqa: S101 - `is_direction` told so
            yield GuidanceLine(
                GuidanceKind.A_PLUS, points, name=feature.name, heading_deg=heading % 360.0, spacing_m=spacing
            )
            return
        for points in shapes.lines(feature.geometry):
            kind = GuidanceKind.AB if len(points) == 2 else GuidanceKind.CURVE
            if heading is not None:
                self._compare(feature, points, heading)
            yield GuidanceLine(kind, points, name=feature.name, spacing_m=spacing)

    def _spacing(self, feature: Feature) -> float | None:
        spacing = feature.number(ColumnRole.WIDTH)
        least, most = RANGED[ColumnRole.WIDTH]
        if spacing is None or least <= spacing <= most:
            return spacing
        what = f"A spacing of {spacing:g} m of row {feature.part.raw.number(feature.row)} of {feature.part.raw.label}"
        reason = f"no machine works {'so wide' if spacing > most else 'so narrow'}"
        self.findings.append(VALUE_LEFT_OUT.at(Place(file=feature.part.raw.file), what=what, reason=reason))
        return None

    def _compare(self, feature: Feature, points: Coordinates, heading: float) -> None:
        drawn = azimuth(points[0], points[-1])
        if turned(heading, drawn) <= CONTRADICTION_DEG:
            return
        raw = feature.part.raw
        place = Place(file=raw.file, record=raw.number(feature.row) - 1)
        stated, found = f"{heading:g}°", f"{drawn:.2f}°"
        row = raw.number(feature.row)
        self.findings.append(HEADING_CONTRADICTS.at(place, row=row, layer=raw.label, stated=stated, found=found))


def is_direction(feature: Feature) -> bool:
    """Tell whether a row is a point with a heading."""
    return feature.geometry.geom_type == "Point" and feature.number(ColumnRole.HEADING) is not None


def put_guidance(features: Sequence[Feature], homes: Homes) -> Iterable[Finding]:
    """Give the guidance lines of rows to their fields, and return what is to be told of them."""
    made = Guidance()
    for feature in features:
        made.add(feature, homes.of(feature))
    made.put(homes)
    return made.findings
