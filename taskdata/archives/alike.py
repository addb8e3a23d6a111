"""Whether two things of one key are one: what is compared besides the key."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import numpy as np

from taskdata.sets.joining.agreeing import contradict
from taskdata.sets.joining.places import same_place
from taskdata.sets.joining.same_work import SEASONS_APART_S


def _longer(one: list[str], two: list[str]) -> bool:
    """Tell whether one log is the beginning of the other, by digests of their beginnings."""
    return all(left == right for left, right in zip(one, two, strict=False))


def _same_place(one: list[list[float]], two: list[list[float]]) -> bool:
    return same_place(np.array(one), np.array(two))


def _agree(one: list[str], two: list[str]) -> bool:
    """Tell whether two fields name the same owners, as far as both name any."""
    return not contradict(one, two)


def _same_plan(one: Mapping[str, Any], two: Mapping[str, Any]) -> bool:
    """Tell whether two tasks of one identifier and name have the same owners and lie in one season."""
    if contradict(one["owners"], two["owners"]):
        return False
    if one["span"] is None or two["span"] is None:
        return True
    early, late = sorted((one["span"], two["span"]))
    return bool(late[0] - early[1] <= SEASONS_APART_S)


TESTS: Mapping[str, Callable[[Any, Any], bool]] = {
    "longer": _longer,
    "place": _same_place,
    "agree": _agree,
    "plan": _same_plan,
}
