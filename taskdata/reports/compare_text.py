"""What differs between two sets, for a person."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from taskdata.reports import words
from taskdata.reports.reading import unread_lines
from taskdata.reports.styled import Line, Style, wrapped
from taskdata.results.comparison import Aspect, CommonShift, Comparison, Difference, DifferenceKind, sentence

_STYLES: dict[DifferenceKind, Style] = {
    DifferenceKind.REMOVED: "error",
    DifferenceKind.ADDED: "note",
    DifferenceKind.CHANGED: "warning",
    DifferenceKind.MOVED: "warning",
}
_MOST = 100
"""How many things are named in one sentence."""

DATUM_FROM_M, DATUM_TO_M = 0.5, 3.0


def compare_text(result: Comparison) -> list[Line]:
    """Return the differences by kind, what moved last, in lines of 80 columns."""
    lines = [Line(f"{result.first} against {result.second}", "heading")]
    unread = unread_lines(result.findings)
    lines += [*unread, Line("")] if unread else []
    if result.equal:
        return [*lines, Line("Nothing differs in what could be read." if unread else "Nothing differs.")]
    lines.append(Line(f"{words.counted(len(result.differences), 'difference')}."))
    if result.common_shift is not None:
        lines += wrapped(_shift(result.common_shift), style="warning")
    for kind in (DifferenceKind.REMOVED, DifferenceKind.ADDED, DifferenceKind.CHANGED, DifferenceKind.MOVED):
        found = [item for item in result.differences if item.kind is kind]
        if found:
            lines += [Line(""), Line(f"{str(kind).capitalize()} ({len(found)})", _STYLES[kind])]
            lines += _sentences(found)
    return lines


def _sentences(found: Sequence[Difference]) -> Iterator[Line]:
    """Yield a sentence each, but one for all that only got another number or moved with the rest."""
    alike = {aspect: [item for item in found if item.aspect is aspect] for aspect in Aspect}
    own = alike[Aspect.OWN]
    for aspect, beginning in ((Aspect.RENUMBERED, "Only the number"), (Aspect.SHIFTED, "By the common shift")):
        if len(alike[aspect]) < 2:
            own = own + alike[aspect]
            continue
        ids = Counter(map(_short, alike[aspect]))
        told = ", ".join(name if times == 1 else f"{name} ({times} x)" for name, times in list(ids.items())[:_MOST])
        told += f" and {len(ids) - _MOST} more" if len(ids) > _MOST else ""
        yield from wrapped(f"{beginning} ({len(alike[aspect])}): {told}", 2, hanging=2)
    for text, times in Counter(map(sentence, own)).items():
        yield from wrapped(text if times == 1 else f"{text} ({times} x)", 2, hanging=2)


def _short(item: Difference) -> str:
    return f"{item.before} -> {words.spoken(item.after)}" if item.aspect is Aspect.RENUMBERED else item.a or item.thing


def _shift(shift: CommonShift) -> str:
    east = "unknown" if shift.east_m is None else f"{shift.east_m:.3f} m"
    north = "unknown" if shift.north_m is None else f"{shift.north_m:.3f} m"
    text = f"{shift.share:.0%} of all lines, outlines and points moved alike: {east} east, {north} north."
    size = (shift.east_m or 0.0) ** 2 + (shift.north_m or 0.0) ** 2
    if DATUM_FROM_M**2 <= size <= DATUM_TO_M**2:
        text += (
            " That is most likely a datum difference, not a change of the fields: check the correction service and "
            "the datum."
        )
    return text
