"""What several rules ask of one set is found once."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import TypeVar, cast

from taskdata.checks.subject import Subject

Found = TypeVar("Found")


def once(find: Callable[[Subject], Found]) -> Callable[[Subject], Found]:
    """Remember what a function finds in a set, for as long as the set is under audit.

    It is kept with the set, so that what was found may refer to the set without keeping it for ever.
    """

    @wraps(find)
    def found(subject: Subject) -> Found:
        if find not in subject.remembered:
            subject.remembered[find] = find(subject)
        return cast(Found, subject.remembered[find])

    return found
