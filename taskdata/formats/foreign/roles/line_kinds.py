"""What lines are: guidance lines, plain lines, tracks of swaths, or outlines of fields."""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.formats.foreign.roles.ground_facts import median
from taskdata.formats.foreign.roles.layer import Layer
from taskdata.formats.foreign.roles.weighing import Decision, Evidence, decide
from taskdata.model.shapes import LineKind
from taskdata.results.survey import ColumnRole, ItemKind

_BEFORE = {ItemKind.GUIDANCE: 1.0, ItemKind.LINE: 0.0, ItemKind.SWATH: -1.0, ItemKind.FIELD: -2.5}
_FIELD_M2 = 2_000.0
_MANY = 20
_SHORT_M, _LONG_M = 15.0, 4_000.0
"""A guidance line is neither shorter nor longer (common practice)."""

_LINES = frozenset(kind.name.lower() for kind in LineKind) - {"guidance"} | {"road", "water", "windbreak", "lines"}


def of_lines(layer: Layer) -> Decision:
    """Return what the lines of a layer most likely are."""
    evidence = (*_of_name(layer), *_of_course(layer), *_of_pattern(layer), *_of_columns(layer), *_of_neighbours(layer))
    return decide(_BEFORE, evidence)


def _of_name(layer: Layer) -> Iterator[Evidence]:
    said = set(layer.words)
    if "guidance" in said:
        yield Evidence("its name says so", {ItemKind.GUIDANCE: 2.5})
    elif said & (_LINES - {"lines"}):
        yield Evidence("its name says so", {ItemKind.LINE: 3.5})
    elif "swath" in said or "log" in said:
        yield Evidence("its name says so", {ItemKind.SWATH: 2.5})
    elif "field" in said:
        yield Evidence("its name says that it is about boundaries", {ItemKind.FIELD: 2.0, ItemKind.LINE: 0.5})
    elif "lines" in said:
        yield Evidence("its name says no more than lines", {ItemKind.LINE: 0.5})


def _of_course(layer: Layer) -> Iterator[Evidence]:
    found, usual = layer.lines, median(layer.lines.lengths)
    if found.closed >= 0.8 and median(found.enclosed) >= _FIELD_M2:
        closed = {ItemKind.FIELD: 4.5, ItemKind.GUIDANCE: -1.5, ItemKind.SWATH: -2.0}
        yield Evidence("they are closed and go round as much as fields", closed)
        return
    if found.cornered >= 0.5:
        corners = {ItemKind.LINE: 1.5, ItemKind.GUIDANCE: -1.0, ItemKind.SWATH: -1.0, ItemKind.FIELD: 0.5}
        yield Evidence("they turn at corners as no machine does", corners)
    if found.of_two_points >= 0.6:
        yield Evidence("most have two points", {ItemKind.GUIDANCE: 1.0, ItemKind.SWATH: 0.3})
    if usual < _SHORT_M:
        short = {ItemKind.GUIDANCE: -2.0, ItemKind.SWATH: 1.0 if layer.count >= _MANY else -1.0}
        yield Evidence(f"they are short ({usual:.3g} m)", short)
    elif usual > _LONG_M:
        yield Evidence(f"they are long ({usual / 1000.0:.3g} km)", {ItemKind.GUIDANCE: -2.0, ItemKind.LINE: 1.0})


def _of_pattern(layer: Layer) -> Iterator[Evidence]:
    found = layer.lines
    if layer.count >= _MANY and found.chained >= 0.7:
        chained = {ItemKind.SWATH: 2.0, ItemKind.GUIDANCE: -2.0, ItemKind.LINE: -0.5}
        yield Evidence("each begins where the one before ends", chained)
    elif found.evenly_spaced >= 6:
        spaced = {ItemKind.SWATH: 2.0, ItemKind.GUIDANCE: -0.5, ItemKind.LINE: -1.0}
        yield Evidence(f"{found.evenly_spaced} run side by side at equal distances", spaced)


def _of_columns(layer: Layer) -> Iterator[Evidence]:
    if layer.has(ColumnRole.TIME) and layer.count >= 3:
        yield Evidence("a column holds times", {ItemKind.SWATH: 1.0, ItemKind.FIELD: -0.5})
    if layer.has(ColumnRole.SPEED, ColumnRole.STATE, ColumnRole.RATE):
        yield Evidence("columns hold what a machine did", {ItemKind.SWATH: 2.0, ItemKind.GUIDANCE: -1.0})
    if layer.has(ColumnRole.WIDTH):
        yield Evidence("a column holds a width", {ItemKind.SWATH: 1.5, ItemKind.GUIDANCE: 1.5, ItemKind.LINE: -1.0})
    if layer.has(ColumnRole.HEADING):
        yield Evidence("a column holds headings", {ItemKind.GUIDANCE: 1.0, ItemKind.SWATH: 0.7, ItemKind.LINE: -0.5})
    if layer.named_apart >= 0.8:
        yield Evidence(
            "each has a name of its own", {ItemKind.GUIDANCE: 0.5, ItemKind.SWATH: -1.5, ItemKind.FIELD: 0.5}
        )


def _of_neighbours(layer: Layer) -> Iterator[Evidence]:
    share = layer.within_fields
    if share is None:
        return
    if layer.along_edges >= 0.5:
        along = {ItemKind.LINE: 2.0, ItemKind.GUIDANCE: -1.0, ItemKind.SWATH: -1.0, ItemKind.FIELD: 0.5}
        yield Evidence("they run along the edges of fields", along)
    elif share >= 0.5:
        yield Evidence("they lie in fields", {ItemKind.GUIDANCE: 0.7, ItemKind.SWATH: 0.5, ItemKind.FIELD: -1.0})
    elif share == 0.0:
        yield Evidence("they lie outside the fields", {ItemKind.LINE: 0.7, ItemKind.SWATH: -0.7})
