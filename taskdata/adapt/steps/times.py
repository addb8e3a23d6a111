"""Types of times that a version lacks."""

from __future__ import annotations

from taskdata.adapt.adaptation import Adaptation, spaced
from taskdata.isoxml.facts import elements, letter
from taskdata.phrases import phrase

_OTHERWISE = {"8": "5", "3": "2"}
"""What a type becomes where a version does not have it, or has withdrawn it."""
_TYPES = {str(item.low): item for item in elements()["TIM"].attributes[letter("TIM", "Type")].values}
_NAMES = {code: phrase(spaced(item.name).replace(" time", "")) for code, item in _TYPES.items()}


def translate_times(work: Adaptation) -> None:
    """Write powered down (8) as type 5 in version 3 (R-244), preparation (3) as type 2 in version 4 (R-262)."""
    for time in work.described():
        kind = time.get("Type") if time.tag == "TIM" else None
        other = _OTHERWISE.get(kind or "")
        if other is not None and not _has(work.target, kind or ""):
            time.set("Type", other)
            what = phrase(
                "time of type {kind} ({names}) becomes type {other} ({names_2})",
                kind=kind,
                names=_NAMES[kind or ""],
                other=other,
                names_2=_NAMES[other],
            )
            work.alter(time, what, phrase("version {target} has no type {kind}", target=work.target, kind=kind))


def _has(number: int, kind: str) -> bool:
    """Tell whether a version has a type of times and has not withdrawn it."""
    withdrawn = _TYPES[kind].deprecated_in
    return _TYPES[kind].holds(number) and (withdrawn is None or number < withdrawn)
