"""Columns told apart: some formats allow that two are called alike, or that one has no name."""

from __future__ import annotations

from collections.abc import Iterable

_BLANK = "column"


def distinct_names(names: Iterable[str], taken: Iterable[str] = ()) -> list[str]:
    """Return names of which each stands once: the second ``rate`` becomes ``rate_2``, a blank one ``column``.

    Parameters
    ----------
    names : iterable of str
        In the order of the columns; the first of a name keeps it.
    taken : iterable of str
        Names that none of them may have.
    """
    wanted = [name if name.strip() else _BLANK for name in names]
    used = {*taken, *wanted}
    found: list[str] = []
    given = set(taken)
    for name in wanted:
        own, number = name, 2
        while own in given or (own != name and own in used):
            own, number = f"{name}_{number}", number + 1
        given.add(own)
        found.append(own)
    return found
