"""A cleaning: which repairs run, on a copy, until nothing changes any more."""

from __future__ import annotations

from collections.abc import Collection

from taskdata.errors import UsageError
from taskdata.isoxml.copying import copy_document
from taskdata.isoxml.document import Document
from taskdata.repairs.journal import Change, Standing
from taskdata.repairs.registry import Repair, repairs
from taskdata.repairs.work import Work

_ROUNDS = 4


def clean(
    document: Document,
    *,
    review: bool = False,
    only: Collection[str] = (),
    leave: Collection[str] = (),
) -> tuple[Document, tuple[Change, ...]]:
    """Repair a document.

    Parameters
    ----------
    document : Document
        Stays as it is.
    review : bool
        Run also the repairs that make a choice.
    only, leave : collection of str
        Ids of rules or families: only the repairs of these, all but the repairs of these.

    Returns
    -------
    Document, tuple of Change
        The repaired copy and its journal, in the order of the changes.

    Raises
    ------
    UsageError
        A name in ``only`` or ``leave`` is that of no rule that can be repaired.
    """
    chosen = _chosen(review, only, leave)
    copy = copy_document(document)
    copy.expand_loose_points()
    changes: list[Change] = []
    for _ in range(_ROUNDS):
        before = len(changes)
        for item in chosen:
            work = Work(copy)
            work.standing = item.standing
            item.run(work)
            copy.touch()
            changes += [change for change in work.changes if _wanted(change.rule, only, leave)]
        if len(changes) == before:
            break
    return copy, tuple(changes)


def _chosen(review: bool, only: Collection[str], leave: Collection[str]) -> list[Repair]:
    known = {rule for item in repairs() for rule in item.rules}
    for name in (*only, *leave):
        if not any(name in {rule, rule.partition(".")[0]} for rule in known):
            raise UsageError("nothing that is called so can be repaired", where=name, remedy="See: taskdata rules")
    standings = set(Standing) if review else {Standing.SAFE}
    return [
        item
        for item in repairs()
        if item.standing in standings and any(_wanted(rule, only, leave) for rule in item.rules)
    ]


def _wanted(rule: str, only: Collection[str], leave: Collection[str]) -> bool:
    names = {rule, rule.partition(".")[0]}
    return (not only or bool(names & set(only))) and not names & set(leave)
