"""A cleaning: which repairs run, on a copy, until nothing changes any more."""

from __future__ import annotations

from collections.abc import Collection

from taskdata.checks.subject import Subject
from taskdata.errors import UsageError
from taskdata.isoxml.tree.copying import copy_document
from taskdata.isoxml.tree.document import Document
from taskdata.repairs.journal import Change, Standing
from taskdata.repairs.registry import Repair, repairs
from taskdata.repairs.repair_work import RepairWork

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
        Ids of rules or families: only the repairs of these, all but the repairs of these. A repair of several rules is
        taken for one of them, and left for one of them.

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
    subject: Subject | None = None
    for _ in range(_ROUNDS):
        before = len(changes)
        for item in chosen:
            work = RepairWork(copy, subject)
            work.standing = item.standing
            item.run(work)
            copy.touch()
            subject = work.subject
            changes += work.changes
        if len(changes) == before:
            break
    return copy, tuple(changes)


def _chosen(review: bool, only: Collection[str], leave: Collection[str]) -> list[Repair]:
    known = {rule for item in repairs() for rule in item.rules}
    for name in (*only, *leave):
        if not any(name in {rule, rule.partition(".")[0]} for rule in known):
            raise UsageError("nothing that is called so can be repaired", where=name, remedy="See: taskdata rules")
    standings = set(Standing) if review else {Standing.SAFE}
    return [item for item in repairs() if item.standing in standings and _wanted(item, only, leave)]


def _wanted(item: Repair, only: Collection[str], leave: Collection[str]) -> bool:
    """Tell whether a repair may run: as a whole, so that nothing changes that the journal does not say."""
    names = {name for rule in item.rules for name in (rule, rule.partition(".")[0])}
    return (not only or bool(names & set(only))) and not names & set(leave)
