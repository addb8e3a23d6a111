"""A rate that somebody typed, as the integer that is stored: which of rate and raw value counts, and what is refused.

Such integers set rates of machines. The rate with its unit counts wherever the unit of the quantity is known; the raw
value is computed of it. Where it is not known there is no rate, and the raw value counts. A value that did not change
keeps its integer.
"""

from __future__ import annotations

import math
from dataclasses import field
from fractions import Fraction

from taskdata.dataclass import dataclass
from taskdata.formats.layers.rates import DDI, RATE, RAW, UNIT, Stated, listed
from taskdata.formats.layers.row_edits import equal
from taskdata.quantities.dictionary import Entry
from taskdata.quantities.presentation import Presentation
from taskdata.quantities.scales import LEAST, MOST, Scale, least_raw, scale_in, scales, usual_scale

_NUMBER = "a number of the data dictionary, from 0 to 65535"


@dataclass(frozen=True)
class Typed:
    """What becomes of a value.

    Parameters
    ----------
    raw : int or None
        The integer to store; None where the value is refused, or there is none.
    refused : tuple of (str, object, str), optional
        Column, the value that cannot be stored, and what the column takes.
    told : list of (str, str)
        What counts otherwise than a column says, and why.
    rounded : bool
        The integer stands for another rate than the one that was typed.
    """

    raw: int | None = None
    refused: tuple[str, object, str] | None = None
    told: list[tuple[str, str]] = field(default_factory=list)
    rounded: bool = False


def typed(new: Stated, old: Stated | None = None, presentation: Presentation | None = None) -> Typed:
    """Return what becomes of a value.

    Parameters
    ----------
    new : Stated
        What a row says.
    old : Stated or None
        What it said when it was written; None for a new row.
    presentation : Presentation, optional
        How the set shows the value, where the dictionary does not know it.
    """
    if old is not None and all(map(equal, old, new)):
        return Typed(old.raw)
    item = listed(new.ddi)
    if item is None:
        if new == Stated() and old in (None, Stated()):
            return Typed()
        return _refused(DDI, new.ddi, _NUMBER)
    usual = usual_scale(item.ddi, presentation=presentation)
    return _without_unit(new, item) if usual is None else _with_unit(new, old, item, usual, presentation)


def _without_unit(new: Stated, item: Entry) -> Typed:
    """Return what becomes of a value of which no unit is known."""
    why = f"empty, since no unit of the {item.name} is known and {RAW} counts"
    for column, value in ((RATE, new.rate), (UNIT, new.unit)):
        if value not in (None, ""):
            return _refused(column, value, why)
    if new.raw is None or not LEAST <= new.raw <= MOST:
        return _refused(RAW, new.raw, f"a whole number from {LEAST} to {MOST}")
    return Typed(new.raw)


def _with_unit(new: Stated, old: Stated | None, item: Entry, usual: Scale, presentation: Presentation | None) -> Typed:
    if old is not None and equal(old.ddi, new.ddi) and equal(old.rate, new.rate) and equal(old.unit, new.unit):
        why = f"{RATE} and {UNIT} say {_shown(new)}, and count; {old.raw} is kept"
        return Typed(old.raw, told=[] if new.raw is None else [(f"{RAW} {new.raw}", why)])
    if new.rate is None and new.unit is None and old is None and new.raw is not None:
        return _raw_alone(new.raw, item, usual)
    unit = new.unit or ""
    scale = scale_in(item.ddi, unit, presentation)
    if scale is None:
        known = [name for name in (usual.unit, *scales(item.ddi)) if name]
        choice = ", ".join(dict.fromkeys(known))
        return _refused(UNIT, new.unit, f"a unit of the {item.plain_name}: {choice}" if choice else "empty")
    least = least_raw(item.ddi)
    if new.rate is None or not math.isfinite(new.rate):
        return _refused(RATE, new.rate, _takes(scale, least))
    exact = scale.raw(new.rate)
    raw = round(exact)
    kept = raw == new.raw if old is None else raw == old.raw
    if not kept and (not least <= raw <= MOST or (exact < 0 <= least)):
        return _refused(RATE, new.rate, _takes(scale, least))
    return Typed(raw, None, _notes(new, old, usual, raw), rounded=not kept and _differs(exact, raw))


def _raw_alone(raw: int, item: Entry, usual: Scale) -> Typed:
    """Return what becomes of a new row that gives the integer alone."""
    least = least_raw(item.ddi)
    if not least <= raw <= MOST:
        return _refused(RAW, raw, f"a whole number from {least} to {MOST}")
    why = f"it stands for {usual.rate(raw):.10g} {usual.unit}".rstrip()
    return Typed(raw, told=[(f"{RAW} {raw} without a {RATE}", why)])


def _notes(new: Stated, old: Stated | None, usual: Scale, raw: int) -> list[tuple[str, str]]:
    """Return what is told of a rate that is taken over."""
    told = []
    said = f"{usual.rate(raw):.10g} {usual.unit}".rstrip()
    by_unit = old is not None and equal(old.rate, new.rate) and not equal(old.unit, new.unit)
    if by_unit and old is not None and raw != old.raw:
        why = f"its {UNIT} was changed and its number was not; that is {said} instead of {_shown(old)}"
        told.append((f"{RATE} {_shown(new)}", why))
    before = None if old is None else old.raw
    if new.raw is not None and new.raw not in (before, raw):
        told.append((f"{RAW} {new.raw}", f"{RATE} and {UNIT} say {_shown(new)}, and count; {raw} is stored"))
    return told


def _shown(value: Stated) -> str:
    return f"{value.rate:.10g} {value.unit or ''}".rstrip()


def _takes(scale: Scale, least: int) -> str:
    """Return what a rate takes, with the ends of what is stored in its unit; ten digits lead back to them."""
    ends = sorted((scale.rate(least), scale.rate(MOST)))
    return f"a number from {ends[0]:.10g} to {ends[1]:.10g} {scale.unit}".rstrip()


def _differs(exact: Fraction, raw: int) -> bool:
    return abs(exact - raw) > abs(exact) * Fraction(1, 10**12)


def _refused(column: str, value: object, takes: str) -> Typed:
    return Typed(refused=(column, value, takes))
