"""What a person can leave out where a set is more than a terminal accepts, and how."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from taskdata.isoxml.tree.element import Element

_SHAPES = {"LSG", "PLN", "PNT", "TZN"}
"""Elements whose identifiers a conversion may give anew: what they stand in is left out instead."""
_NAMED = 3


def leavable(element: Element | None) -> str | None:
    """Return the identifier of the thing that an element is or stands in and that can be left out, None without one."""
    while element is not None and (element.id is None or element.tag in _SHAPES):
        element = element.parent
    return None if element is None else element.id


def or_leave(remedy: str, identifiers: Iterable[str | None]) -> str:
    """Return a remedy with another way out: to leave things out by their identifiers; the first are named."""
    known = _known(identifiers)
    those = "it" if len(known) == 1 else "some of them"
    return f"{remedy}, or leave {those} out: {_named(known)}" if known else remedy


def leave_some(identifiers: Iterable[str | None]) -> str:
    """Return a remedy that has one way out alone: to leave out what is not needed."""
    known = _known(identifiers)
    return "Leave out what the coming jobs do not need" + (f": {_named(known)}" if known else "")


def _known(identifiers: Iterable[str | None]) -> list[str]:
    return list(dict.fromkeys(text for text in identifiers if text))


def _named(known: Sequence[str]) -> str:
    told = " ".join(f"[[leave_out={text}]]" for text in known[:_NAMED])
    return f"{told} and so on, {len(known)} in all" if len(known) > _NAMED else told
