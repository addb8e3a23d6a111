"""Guidance patterns become lines of type 5."""

from __future__ import annotations

from taskdata.adapt.adaptation import Adaptation, label, replace_child, stated
from taskdata.adapt.patterns import course_of, from_a_to_b
from taskdata.adapt.points import put_types, types
from taskdata.amounts import counted
from taskdata.geometry.geodesy import line_length
from taskdata.isoxml.facts import elements, letter
from taskdata.isoxml.to_model.fields import PatternType
from taskdata.isoxml.tree.element import Element
from taskdata.model.shapes import LineKind, PointKind
from taskdata.phrases import phrase

_TOLD_APART = ("GuidancePatternId", "GuidancePatternDesignator", "GuidancePatternType")
_KINDS = {
    PatternType.AB: phrase("A-B line"),
    PatternType.A_PLUS: phrase("A+ and heading"),
    PatternType.CURVE: phrase("curve"),
    PatternType.PIVOT: phrase("pivot"),
    PatternType.SPIRAL: phrase("spiral"),
}
_USED = {PatternType.A_PLUS: ("GuidancePatternHeading",), PatternType.PIVOT: ("GuidancePatternRadius",)}


def guidance_to_lines(work: Adaptation) -> None:
    """Put a line of type 5 in the field in the place of each guidance pattern; drop groups and shifts (R-237).

    Name, width, colour and points of the line stay. The kind shows in the number of points: two are A and B, more are
    a curve. A heading becomes a second point 1000 m from A, a pivot its circle or arc. What else a pattern says
    (extension, number of passes, accuracy, boundaries ...) is lost. Shifts (GST) are not applied to the line.
    """
    for field in work.tagged("PFD"):
        for group in list(field.elements("GGP")):
            made = [line for pattern in group.elements("GPN") if (line := _line(work, pattern)) is not None]
            boundaries = sum(1 for _ in group.elements("PLN"))
            told = phrase(" with {count}", count=counted(boundaries, "boundary", "boundaries")) if boundaries else ""
            work.drop(group, phrase("{group}{told}", group=label(group), told=told))
            replace_child(field, group, made)
    for assignment in work.tagged("GAN"):
        shifts = sum(1 for _ in assignment.elements("GST"))
        with_shifts = phrase(" with {count}", count=counted(shifts, "shift")) if shifts else ""
        what = phrase(
            "assignment of {guidance_group} to the task{with_shifts}",
            guidance_group=assignment.get("GuidanceGroupIdRef"),
            with_shifts=with_shifts,
        )
        why = phrase("{reason}; the line is where it was before any shift", reason=work.reason)
        work.drop(assignment, what, why if shifts else None)
        work.remove(assignment)


def _line(work: Adaptation, pattern: Element) -> Element | None:
    """Return the line of a pattern, None where it has none that version 3 could hold."""
    string = next(pattern.elements("LSG"), None)
    kind = next((item for item in PatternType if str(item.value) == pattern.get("GuidancePatternType")), None)
    if string is None:
        work.drop(pattern, label(pattern), phrase("it has no line"))
        return None
    if kind is not PatternType.PIVOT and from_a_to_b(string):
        work.alter(
            pattern,
            phrase("the points of its line are reversed"),
            phrase("B came before A, and only the order tells them apart"),
        )
    told = course_of(pattern, string, kind)
    if told is None:
        work.drop(pattern, label(pattern), phrase("its points, heading and radius do not define a line"))
        return None
    if told:
        work.approximate(pattern, told)
        if string.get("LineStringLength") is not None:
            string.set("LineStringLength", str(round(1000 * line_length(string.coordinates()))))
    read_as = phrase("a straight line") if string.point_count() == 2 else phrase("a curve")
    told = phrase("of unknown kind") if kind is None else phrase("({kinds})", kinds=_KINDS[kind])
    what = phrase(
        "{pattern} {told} becomes a line of type {guidance:d}",
        pattern=label(pattern),
        told=told,
        guidance=LineKind.GUIDANCE,
    )
    work.alter(pattern, what, phrase("{reason}; it reads as {read_as}", reason=work.reason, read_as=read_as))
    _tell_lost(work, pattern, kind)
    _name(work, pattern, string)
    string.set("LineStringType", str(int(LineKind.GUIDANCE)))
    put_types(string, [str(int(PointKind.OTHER))] * len(types(string)))
    return string


def _tell_lost(work: Adaptation, pattern: Element, kind: PatternType | None) -> None:
    """Say what a pattern states that its line cannot."""
    kept = {letter(pattern.tag, name) for name in (*_TOLD_APART, *(() if kind is None else _USED.get(kind, ())))}
    lost = [stated(pattern, key, text) for key, text in pattern.attributes.items() if key not in kept]
    boundaries = sum(1 for _ in pattern.elements("PLN"))
    lost += [counted(boundaries, "boundary", "boundaries")] if boundaries else []
    others = (child for child in pattern.children if isinstance(child, Element))
    lost += [phrase("element {tag}", tag=child.tag) for child in others if child.tag not in elements()]
    if lost:
        work.drop(pattern, phrase("{lost}", lost=lost))


def _name(work: Adaptation, pattern: Element, string: Element) -> None:
    """Give the line the name of its pattern, in the usual place among the attributes."""
    name = pattern.get("GuidancePatternDesignator")
    own = string.get("LineStringDesignator")
    if name is None or name == own:
        return
    if own is not None:
        work.drop(pattern, phrase("name {own!r} of its line", own=own), phrase("the pattern has one of its own"))
    key = letter("LSG", "LineStringDesignator")
    attributes = {**string.attributes, key: name}
    first = letter("LSG", "LineStringType")
    rest = {other: text for other, text in attributes.items() if other not in {first, key}}
    string.attributes = {first: attributes.get(first, ""), key: name, **rest}
