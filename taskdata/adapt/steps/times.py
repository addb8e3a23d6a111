"""Types of times that a version lacks."""

from __future__ import annotations

from taskdata.adapt.adaptation import Adaptation, spaced
from taskdata.isoxml.facts import elements, letter

_OTHERWISE = {3: {"8": "5"}, 4: {"3": "2"}}
_NAMES = {
    str(item.low): spaced(item.name).replace(" time", "")
    for item in elements()["TIM"].attributes[letter("TIM", "Type")].values
}


def translate_times(work: Adaptation) -> None:
    """Write powered down (8) as type 5 in version 3 (R-244), preparation (3) as type 2 in version 4 (R-262)."""
    for time in work.described():
        kind = time.get("Type") if time.tag == "TIM" else None
        other = _OTHERWISE[work.target].get(kind or "")
        if other is not None:
            time.set("Type", other)
            what = f"time of type {kind} ({_NAMES[kind or '']}) becomes type {other} ({_NAMES[other]})"
            work.alter(time, what, f"version {work.target} has no type {kind}")
