"""How wide the machines of a set work."""

from __future__ import annotations

from taskdata.checks.subject import Subject
from taskdata.model.fields import GuidanceLine


def widths(subject: Subject) -> tuple[float, ...]:
    """Return every width in metres that a machine or one of its parts states, ascending."""
    found = {machine.working_width_m for machine in subject.dataset.machines}
    found |= {part.width_m for machine in subject.dataset.machines for part in machine.parts}
    return tuple(sorted(width for width in found if width is not None and width > 0.0))


def width_for(subject: Subject, line: GuidanceLine) -> float | None:
    """Return the width that a line is made for: its spacing, else that of the only machine with a width."""
    if line.spacing_m is not None and line.spacing_m > 0.0:
        return line.spacing_m
    known = {machine.working_width_m for machine in subject.dataset.machines if machine.working_width_m}
    return known.pop() if len(known) == 1 else None
