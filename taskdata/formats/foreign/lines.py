"""Lines that nothing is steered by: fences, drains, tram lines."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import replace

from taskdata.findings import Finding, Place
from taskdata.formats.foreign.features import Feature, Part
from taskdata.formats.foreign.homes import Homes
from taskdata.formats.foreign.roles.layer_words import line_kind
from taskdata.formats.geometries import shapes
from taskdata.model.shapes import Line, LineKind
from taskdata.raised_rules.import_.line_kind_unknown import RULE as LINE_KIND_UNKNOWN
from taskdata.results.survey import ColumnRole


def put_lines(features: Iterable[Feature], homes: Homes) -> list[Finding]:
    """Give each line to its field: of the kind that its row or its layer says, else a flag, which is told."""
    unknown = Counter[Part]()
    for feature in features:
        owner = homes.of(feature)
        kind, width = line_kind(feature.kind) or LineKind.FLAG, feature.number(ColumnRole.WIDTH)
        unknown[feature.part] += line_kind(feature.kind) is None
        made = tuple(Line(kind, line, name=feature.name, width_m=width) for line in shapes.lines(feature.geometry))
        homes.fields[owner] = replace(homes.fields[owner], lines=(*homes.fields[owner].lines, *made))
    return [
        LINE_KIND_UNKNOWN.at(Place(file=part.raw.file), count=number, layer=part.raw.label)
        for part, number in unknown.items()
        if number
    ]
