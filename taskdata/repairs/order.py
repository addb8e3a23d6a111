"""The order of repairs, which follows from what each of them needs to have been repaired before it."""

from __future__ import annotations

from collections.abc import Collection, Mapping


def in_order(silenced: Mapping[str, Collection[str]], needs: Mapping[str, Collection[str]]) -> list[str]:
    """Return the names of repairs so that each stands behind all that it needs.

    Parameters
    ----------
    silenced : dict of str to collection of str
        The ids of the rules that each repair silences, by the name of the repair.
    needs : dict of str to collection of str
        What each repair needs: ids of rules, families of rules, or names of repairs.

    Returns
    -------
    list of str
        Repairs with nothing before them first, then those that need only these, and so on; each step by name.

    Raises
    ------
    ValueError
        A need is that of no repair, or repairs need each other in a circle.
    """
    waiting = {name: _before(name, silenced, needs[name]) for name in silenced}
    ordered: list[str] = []
    while waiting:
        ready = sorted(name for name, before in waiting.items() if before <= set(ordered))
        if not ready:
            raise ValueError(f"repairs need each other in a circle: {', '.join(sorted(waiting))}")
        ordered += ready
        for name in ready:
            del waiting[name]
    return ordered


def _before(name: str, silenced: Mapping[str, Collection[str]], wanted: Collection[str]) -> set[str]:
    """Return the repairs that one repair needs."""
    found: set[str] = set()
    for need in wanted:
        fitting = {other for other, rules in silenced.items() if other == need or _fits(need, rules)}
        if not fitting:
            raise ValueError(f"{name} needs {need}, which is nothing that a repair silences")
        found |= fitting
    return found - {name}


def _fits(need: str, rules: Collection[str]) -> bool:
    return any(need in {rule, rule.partition(".")[0]} for rule in rules)
