"""Units in the names of columns, such as ``width_m`` and ``speed [km/h]``."""

from __future__ import annotations

import re

from taskdata.dataclass import dataclass
from taskdata.errors import UsageError
from taskdata.file_formats.table import joined
from taskdata.results.survey import ColumnRole

_LENGTH = {
    **dict.fromkeys(("m", "meter", "metre", "meters", "metres", "mtr"), 1.0),
    **dict.fromkeys(("cm",), 0.01),
    **dict.fromkeys(("mm",), 0.001),
    **dict.fromkeys(("ft", "feet", "foot"), 0.3048),
    **dict.fromkeys(("in", "inch", "inches"), 0.0254),
}
_SPEED = {
    **dict.fromkeys(("km/h", "kmh", "kph", "kmph", "km_h"), 1.0 / 3.6),
    **dict.fromkeys(("m/s", "ms", "mps", "m_s"), 1.0),
    **dict.fromkeys(("mph", "mi/h"), 0.44704),
    **dict.fromkeys(("kn", "kt", "kts", "knots"), 1852.0 / 3600.0),
}
_ANGLE = {**dict.fromkeys(("deg", "degree", "degrees", "°"), 1.0), "rad": 57.29577951308232}

FACTORS = {ColumnRole.WIDTH: _LENGTH, ColumnRole.SPEED: _SPEED, ColumnRole.HEADING: _ANGLE}
"""Metres, metres a second and degrees in a unit (the foot of 0.3048 m and the mile of 1609.344 m are exact since 1959,
the knot is 1852 m an hour)."""

DEFAULTS = {ColumnRole.WIDTH: "m", ColumnRole.SPEED: "km/h", ColumnRole.HEADING: "deg"}
"""Units where nothing says one."""

_BRACKETS = re.compile(r"[\[(]\s*([^\[\]()]+?)\s*[\])]\s*$")
_LAST = re.compile(r"(?:[\s_.-]+|(?<=[a-z])(?=[A-Z]))([A-Za-z/°]+|k?m_[hs])$")


@dataclass(frozen=True, slots=True)
class Named:
    """The name of a column without its unit, and the unit as it is written; None where it says none."""

    words: str
    unit: str | None


def named(name: str, role: ColumnRole | None = None) -> Named:
    """Return a name without its unit: in brackets any, else the last word where it is a unit of the role, or of any."""
    if (found := _BRACKETS.search(name)) is not None:
        return Named(name[: found.start()], found[1])
    known = [FACTORS[role]] if role in FACTORS else list(FACTORS.values()) if role is None else []
    found = _LAST.search(name)
    if found is not None and any(found[1].casefold() in units for units in known):
        return Named(name[: found.start()], found[1])
    return Named(name, None)


def factor(role: ColumnRole, unit: str | None) -> float | None:
    """Return what a unit is in metres, metres a second or degrees; None where the role has no such unit."""
    return FACTORS.get(role, {}).get((unit or DEFAULTS.get(role, "")).strip().casefold())


def check_unit(role: ColumnRole, unit: str | None, where: str) -> None:
    """Refuse a unit that is known for no measure of a role; a role without units takes any.

    Raises
    ------
    UsageError
        The message names those that are known.
    """
    if role in FACTORS and factor(role, unit) is None:
        raise UsageError(
            f"the unit {unit!r} of the {role.value} is not known",
            where=where,
            remedy=f"Say it in [[mapping]], as one of {joined([known for known in FACTORS[role] if known.isascii()])}",
        )
