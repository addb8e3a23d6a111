"""A plan of passes as the document of ``passes --json``, and in words."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from taskdata.amounts import counted
from taskdata.findings import Finding
from taskdata.reports.inspect_text import Units, area_text, kind_text, length_text
from taskdata.reports.reading import reading_document, unread_lines
from taskdata.reports.styled import Line, wrapped
from taskdata.results.planning import Alternative, PassPlan, PlanNote

KILOMETRE_M = 1000.0
MILE_M = 1609.344
CAUTION = (
    "These passes steer a machine: check width and line on the display, drive the first pass by eye, keep people "
    "clear, and watch for obstacles that no boundary shows."
)
NOTES = {
    PlanNote.NO_BOUNDARY: (
        "{0} has no boundary, so the passes are not clipped: there are as many as the line states, each as long as "
        "the line."
    ),
    PlanNote.NO_WORK: "No pass lies in the field: {0} does not reach it.",
    PlanNote.NO_HEADLAND_LEFT: "The headland takes up the whole field; widths are {0} m.",
    PlanNote.SPIRAL: "A spiral is driven as it is; it is neither repeated nor extended.",
    PlanNote.LIMITED: "{0} or its group is limited to some passes or to a part of the field, so the plan is too.",
    PlanNote.OTHER_FIELDS: "Other fields of the set: {0}. Choose one with --field.",
    PlanNote.UNDONE: "The passes leave {0} of the field unworked.",
    PlanNote.UNDONE_CORNERS: "Corners of the headland leave {0} unworked, if they are driven without reversing.",
    PlanNote.OVER_EDGE: (
        "Passes run up to {0} past the edge of the field, so that the full width reaches it: make sure that there is "
        "room, or use --headland or --ends centre."
    ),
    PlanNote.FASTER: "Heading {0}° would take less time in all.",
}


def passes_document(plan: PassPlan, findings: Sequence[Finding] = ()) -> dict[str, Any]:
    """Return the document of ``passes --json``; ``findings`` are those of reading the source."""
    return {
        "field": plan.field.id,
        "line": plan.line.id or plan.line.name,
        "heading_deg": plan.heading_deg,
        "spacing_m": plan.spacing_m,
        "passes": plan.passes,
        "length_m": plan.length_m,
        "turns": plan.turns,
        "time_s": plan.time_s,
        "ends": str(plan.ends),
        "width_m": plan.width_m,
        "undone_m2": plan.undone_m2,
        "undone_headland_m2": plan.undone_headland_m2,
        "alternatives": [_alternative(item) for item in plan.alternatives],
        **reading_document(findings, notes_of(plan)),
    }


def notes_of(plan: PassPlan, units: Units = "metric") -> list[str]:
    """Return what the reader of a plan has to know, a sentence each."""
    return [NOTES[note].format(_fact(note, fact, units)) for note, fact in plan.notes]


def _fact(note: PlanNote, fact: str, units: Units) -> str:
    if note in {PlanNote.UNDONE, PlanNote.UNDONE_CORNERS}:
        return area_text(float(fact), units)
    return length_text(float(fact), units, 1) if note is PlanNote.OVER_EDGE else fact


def passes_text(plan: PassPlan, units: Units = "metric", findings: Sequence[Finding] = ()) -> list[Line]:
    """Return a plan in lines of 80 columns, and what of the source could not be read."""
    field, line = plan.field.name or plan.field.id, plan.line.name or plan.line.id or "line without a name"
    rounds = len({piece.number for piece in plan.pieces if piece.headland})
    lines = [
        *wrapped(f"{field} along {line}", style="heading"),
        *wrapped(f"Line: {kind_text(plan.kind, plan.heading_deg)}; a pass every {_metres(plan.spacing_m, units)}."),
        *wrapped(
            f"{counted(plan.passes, 'pass', 'passes')}, {_way(plan.length_m, units)} "
            f"({area_text(plan.length_m * plan.spacing_m, units)} at this width), {counted(plan.turns, 'turn')}"
            f"{_time(plan.time_s)}."
        ),
        *wrapped(
            f"Rows: {plan.rows}, of which {plan.left} left and {plan.right} right of the line"
            + (f"; headland of {counted(rounds, 'round')}." if rounds else ".")
        ),
    ]
    if plan.alternatives:
        lines += [Line(""), Line("Other headings", "heading")]
        lines += [Line(f"  {_other(item, units)}") for item in plan.alternatives]
    if plan.notes:
        told = notes_of(plan, units)
        lines += [Line(""), *(line for text in told for line in wrapped(text, style="note", hanging=2))]
    unread = unread_lines(findings)
    lines += [Line(""), *unread] if unread else []
    return [*lines, Line(""), *wrapped(plan.method, style="quiet"), *wrapped(CAUTION, style="warning")]


def _alternative(item: Alternative) -> dict[str, Any]:
    return {
        "heading_deg": item.heading_deg,
        "passes": item.passes,
        "length_m": item.length_m,
        "turns": item.turns,
        "time_s": item.time_s,
    }


def _other(item: Alternative, units: Units) -> str:
    return (
        f"{_compass(item.heading_deg):6.2f}°: {counted(item.passes, 'pass', 'passes')}, {_way(item.length_m, units)}, "
        f"{counted(item.turns, 'turn')}{_time(item.time_s)}"
    )


def _compass(heading_deg: float) -> float:
    """Return a heading to the hundredth that is shown, below a full turn."""
    return round(heading_deg, 2) % 360.0


def _metres(value: float, units: Units) -> str:
    return length_text(value, units, 2)


def _way(metres: float, units: Units) -> str:
    return f"{metres / KILOMETRE_M:.2f} km" if units == "metric" else f"{metres / MILE_M:.2f} mi"


def _time(seconds: float | None) -> str:
    if seconds is None:
        return ""
    minutes = round(seconds / 60.0)
    return f", about {minutes // 60} h {minutes % 60} min" if minutes >= 60 else f", about {minutes} min"
