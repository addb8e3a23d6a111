"""Line strings lose their identifier, and obstacles become flags."""

from __future__ import annotations

from taskdata.adapt.adaptation import Adaptation, label
from taskdata.model.shapes import LineKind
from taskdata.phrases import phrase


def simplify_lines(work: Adaptation) -> None:
    """Drop identifiers of line strings; an obstacle becomes a flag where a designator says what it is, else goes.

    (R-247)
    """
    flag, obstacle = (str(int(kind)) for kind in (LineKind.FLAG, LineKind.OBSTACLE))
    for line in work.tagged("LSG"):
        work.drop_attribute(line, "LineStringId")
        if line.get("LineStringType") != obstacle:
            continue
        if line.get("LineStringDesignator"):
            line.set("LineStringType", flag)
            what = phrase(
                "{line} of type {obstacle} (obstacle) becomes type {flag} (flag)",
                line=label(line),
                obstacle=obstacle,
                flag=flag,
            )
            work.alter(line, what, phrase("{reason}; a display may no longer warn of it", reason=work.reason))
        else:
            work.drop(
                line,
                phrase("an obstacle line without a name"),
                phrase("{reason}, and a flag needs a name; watch out for the obstacle", reason=work.reason),
            )
            work.remove(line)
