"""What several rules ask of one set is found once."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import TypeVar
from weakref import WeakKeyDictionary

from taskdata.checks.subject import Subject

Found = TypeVar("Found")


def once(find: Callable[[Subject], Found]) -> Callable[[Subject], Found]:
    """Remember what a function finds in a set, for as long as the set is under audit."""
    known: WeakKeyDictionary[Subject, Found] = WeakKeyDictionary()

    @wraps(find)
    def found(subject: Subject) -> Found:
        if subject not in known:
            known[subject] = find(subject)
        return known[subject]

    return found
