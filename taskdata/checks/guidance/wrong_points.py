"""The points of a guidance pattern are not those that its type asks for.

What it checks
    That the line of a pattern (GPN) has the points (PNT) that its type asks for, in number and type. AB: A and B.
    A+: A alone. Curve and spiral: A, then any number of guidance points, then B. Pivot: the centre, and where it is
    not a full circle also A and B. A is type 6, B type 7, the centre type 8, a guidance point type 9.
Why it matters
    The line steers the machine. A terminal that takes the wrong point for B steers in another direction, or refuses
    the pattern in the field.
Example
    Bad: <GPN A="GPN1" C="1"> with one point.
    Good: <GPN A="GPN1" C="1"> with <PNT A="6" .../> and <PNT A="7" .../>
How to fix
    Give the points their types, add what is missing, or choose the type of pattern that fits the points. Do not steer
    by the pattern until then.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from taskdata.checks.guidance._patterns import kind_of, point_types
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.isoxml.to_model.fields import PatternType
from taskdata.model.shapes import PointKind
from taskdata.phrases import phrase

RULE = Rule(
    id="guidance.wrong-points",
    severity=Severity.ERROR,
    message="{element} ({kind}) has points of the types {found}; it needs {wanted}.",
    remedy="Set the types of the points, add what is missing, or choose the matching type of pattern.",
    clause="D.30",
    covers=("R-182", "R-183", "R-184", "R-185"),
    since=4,
)
A, B, CENTRE, BETWEEN = (
    PointKind.GUIDANCE_A,
    PointKind.GUIDANCE_B,
    PointKind.GUIDANCE_CENTRE,
    PointKind.GUIDANCE_POINT,
)
COURSE = phrase("{a:d}, any number of {between:d}, then {b:d}", a=A, between=BETWEEN, b=B)
NAMES = {
    PatternType.AB: ("AB", phrase("{a:d} and {b:d}", a=A, b=B)),
    PatternType.A_PLUS: ("A+", phrase("{a:d} alone", a=A)),
    PatternType.CURVE: (phrase("curve"), COURSE),
    PatternType.PIVOT: (
        phrase("pivot"),
        phrase("{centre:d}, alone or with {a:d} and {b:d} after it", centre=CENTRE, a=A, b=B),
    ),
    PatternType.SPIRAL: (phrase("spiral"), COURSE),
}
FIXED: dict[PatternType, list[list[int]]] = {
    PatternType.AB: [[A, B]],
    PatternType.A_PLUS: [[A]],
    PatternType.PIVOT: [[CENTRE], [CENTRE, A, B]],
}
MOST_SHOWN = 6


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each pattern with other points."""
    for pattern in subject.tagged("GPN"):
        kind = kind_of(pattern)
        for line in pattern.elements("LSG") if kind is not None else ():
            types = point_types(subject, line)
            if kind is not None and types and not _fit(kind, types):
                name, wanted = NAMES[kind]
                place = subject.place(pattern)
                owner = place.element or pattern.tag
                yield RULE.at(place, element=owner, kind=name, found=_spoken(types), wanted=wanted)


def _fit(kind: PatternType, types: Sequence[int | None]) -> bool:
    if kind in FIXED:
        return list(types) in FIXED[kind]
    inner = set(types[1:-1])
    return len(types) > 1 and types[0] == A and types[-1] == B and inner <= {BETWEEN}


def _spoken(types: Sequence[int | None]) -> str:
    shown = ["none" if item is None else str(item) for item in types]
    if len(shown) > MOST_SHOWN:
        shown = [*shown[: MOST_SHOWN - 2], "...", shown[-1]]
    return ", ".join(shown)
