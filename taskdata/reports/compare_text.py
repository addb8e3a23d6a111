"""What differs between two sets, for a person."""

from __future__ import annotations

from collections import Counter

from taskdata.reports import words
from taskdata.reports.styled import Line, Style, wrapped
from taskdata.sets.differences import CommonShift, Comparison, Difference, DifferenceKind

_STYLES: dict[DifferenceKind, Style] = {
    DifferenceKind.REMOVED: "error",
    DifferenceKind.ADDED: "note",
    DifferenceKind.CHANGED: "warning",
    DifferenceKind.MOVED: "warning",
}
DATUM_FROM_M, DATUM_TO_M = 0.5, 3.0


def compare_text(result: Comparison) -> list[Line]:
    """Return the differences by kind, what moved last, in lines of 80 columns."""
    lines = [Line(f"{result.first} against {result.second}", "heading")]
    if result.equal:
        return [*lines, Line("Nothing differs.")]
    lines.append(Line(f"{words.counted(len(result.differences), 'difference')}."))
    if result.common_shift is not None:
        lines += wrapped(_shift(result.common_shift), style="warning")
    for kind in (DifferenceKind.REMOVED, DifferenceKind.ADDED, DifferenceKind.CHANGED, DifferenceKind.MOVED):
        found = [item for item in result.differences if item.kind is kind]
        if found:
            lines += [Line(""), Line(f"{str(kind).capitalize()} ({len(found)})", _STYLES[kind])]
            for sentence, times in Counter(map(_sentence, found)).items():
                lines += wrapped(sentence if times == 1 else f"{sentence} ({times} x)", 2, hanging=2)
    return lines


def _sentence(item: Difference) -> str:
    text = item.what
    if item.b is not None and item.a is not None and item.a != item.b:
        text += f" (there {item.b})"
    if item.before is not None or item.after is not None:
        sides = [words.spoken(value) for value in (item.before, item.after)]
        text += f": {sides[0]} -> {sides[1]}" if item.kind in {DifferenceKind.CHANGED, DifferenceKind.MOVED} else ""
        text += f": {item.before or item.after}" if item.kind in {DifferenceKind.ADDED, DifferenceKind.REMOVED} else ""
    if item.distance_m is not None:
        text += f"; up to {item.distance_m:.3f} m apart"
    return text


def _shift(shift: CommonShift) -> str:
    east = "unknown" if shift.east_m is None else f"{shift.east_m:.3f} m"
    north = "unknown" if shift.north_m is None else f"{shift.north_m:.3f} m"
    text = f"Of all lines and outlines {shift.share:.0%} moved alike: {east} east, {north} north."
    size = (shift.east_m or 0.0) ** 2 + (shift.north_m or 0.0) ** 2
    if DATUM_FROM_M**2 <= size <= DATUM_TO_M**2:
        text += " That is most likely a difference of datum, not of fields: check the correction service and the datum."
    return text
