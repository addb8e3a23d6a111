"""Fields are the same piece of ground.

What it checks
    That no field shares 95 % or more of the ground that both cover together with an earlier one. However many fields
    lie on one piece of ground, they are one finding, and each is compared with the first of them. A field and the field
    it is part of are not compared.
Why it matters
    The field is there twice or more often, usually under other names or identifiers, because it came back from a
    machine or from another year. Work is booked on one of them and missed on the other.
Example
    Bad: PFD1 "Kuhle" and PFD9 "Kuhle 2023" with one boundary.
    Good: one field.
How to fix
    Keep one of them, move tasks and guidance to it, and delete the rest.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import shapely

from taskdata.amounts import counted
from taskdata.checks._field_shapes import FieldShape
from taskdata.checks._ground import inside_point, spot
from taskdata.checks.field._groups import on_same_ground
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="field.same-ground",
    severity=Severity.WARNING,
    message='{element} "{name}" covers the same ground as {other} "{text}"{more}.',
    remedy="Keep one of them, move tasks and guidance to it, and delete the rest.",
)
_NAMED = 10
"""How many fields beside two a message names."""


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each group of such fields, at the second of them."""
    for first, (second, *more) in on_same_ground(subject):
        lon, lat = inside_point(shapely.intersection(first.shape, second.shape)).tolist()
        place = spot(second.field.place, ((lon + 180.0) % 360.0 - 180.0, lat))
        yield RULE.at(
            place,
            element=second.field.id,
            name=second.field.name,
            other=first.field.id,
            text=first.field.name,
            more=_more(more),
        )


def _more(others: Sequence[FieldShape]) -> str:
    """Return words that name the third field and the later ones of a group."""
    if not others:
        return ""
    names = [plot.field.id for plot in others[:_NAMED]]
    rest = f" and {counted(len(others) - _NAMED, 'field')} more" if len(others) > _NAMED else ""
    return f", and so {'does' if len(others) == 1 else 'do'} {', '.join(names)}{rest}"
