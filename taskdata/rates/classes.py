"""Many different rates as few: classes that each apply the mean of their ground, so that the total stays.

A rate of 0 stays 0, whatever the classes: ground that gets nothing must not get a share of its neighbours.
"""

from __future__ import annotations

import math
import re
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from taskdata.dataclass import dataclass
from taskdata.errors import UsageError
from taskdata.geometry.arrays import Floats
from taskdata.records import short_repr

MOST_CLASSES = 250


class ClassRule(StrEnum):
    """How the bounds of classes are found."""

    QUANTILES = "quantiles"
    EQUAL = "equal"
    BOUNDS = "bounds"


@short_repr
@dataclass(frozen=True, slots=True)
class Classing:
    """How rates are put into classes.

    Parameters
    ----------
    rule : ClassRule
        Classes of equal ground, of equal steps, or between given bounds.
    count : int
        How many classes.
    bounds : tuple of float
        Of given ones: bounds in ascending order; a rate at a bound belongs to the class above it.
    """

    rule: ClassRule
    count: int
    bounds: tuple[float, ...] = ()


def classing(text: str) -> Classing:
    """Return what a text asks for: ``4``, ``equal:4``, or bounds such as ``100,150,200``.

    Raises
    ------
    UsageError
        The text is none of these.
    """
    wanted = "".join(text.split()).casefold()
    number = re.fullmatch(r"(equal:)?(\d{1,3})", wanted)
    if number is not None and 1 <= int(number[2]) <= MOST_CLASSES:
        return Classing(ClassRule.EQUAL if number[1] else ClassRule.QUANTILES, int(number[2]))
    try:
        bounds = tuple(float(part) for part in wanted.split(","))
    except ValueError:
        bounds = ()
    if "," in wanted and bounds and all(map(math.isfinite, bounds)) and sorted(set(bounds)) == list(bounds):
        return Classing(ClassRule.BOUNDS, len(bounds) + 1, bounds)
    remedy = (
        f"Give a number up to {MOST_CLASSES} for classes of equal ground, equal:4 for equal steps, or bounds: 100,150"
    )
    raise UsageError("does not say what classes to make", where=text, remedy=remedy)


def classed(rates: Floats, areas: Floats, rule: Classing) -> Floats:
    """Return rates with those of a class replaced by the mean of its ground.

    Parameters
    ----------
    rates, areas : float64 (n,)
        Rates, none of them NaN, and the ground of each, m².
    rule : Classing
        The classes.
    """
    result = rates.copy()
    some = np.flatnonzero((rates > 0.0) & (areas > 0.0))
    if not len(some):
        return result
    values, inverse = np.unique(rates[some], return_inverse=True)
    ground = np.bincount(inverse, areas[some]).astype(np.float64)
    number = _numbers(values, ground, rule)
    sums, whole = np.bincount(number, values * ground), np.bincount(number, ground)
    means = np.divide(sums, whole, out=np.zeros_like(sums), where=whole > 0.0)
    result[some] = means[number][inverse]
    return result


def _numbers(values: Floats, ground: Floats, rule: Classing) -> NDArray[np.intp]:
    """Return the number of the class of each different rate, in ascending order."""
    if rule.rule is ClassRule.BOUNDS:
        return np.searchsorted(np.array(rule.bounds), values, side="right")
    if rule.rule is ClassRule.EQUAL:
        span = float(values[-1] - values[0])
        share = (values - values[0]) / span if span else np.zeros(len(values))
    else:
        share = (np.cumsum(ground) - ground / 2.0) / ground.sum()
    return np.minimum((share * rule.count).astype(np.intp), rule.count - 1)


def rounded(rates: Floats, step: float) -> Floats:
    """Return rates rounded to the nearest whole steps."""
    return np.rint(rates / step) * step
