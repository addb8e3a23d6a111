"""A cleaning: which repairs run, on a copy, until nothing changes any more."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import NamedTuple

from taskdata.checks.catalogue import known_names
from taskdata.checks.subject import Subject
from taskdata.errors import TaskdataError
from taskdata.findings import Finding, Place, cause_of
from taskdata.isoxml.tree.copying import copy_document
from taskdata.isoxml.tree.document import Document
from taskdata.progress import each
from taskdata.raised_rules.internal.repair_failed import RULE as REPAIR_FAILED
from taskdata.repairs.registry import Repair, repairs
from taskdata.repairs.repair_work import RepairWork, Seen
from taskdata.results.cleaning import Change, Standing

_ROUNDS = 4


class Cleaned(NamedTuple):
    """A repaired document.

    Parameters
    ----------
    document : Document
        The repaired copy.
    changes : tuple of Change
        The journal, in the order of the changes.
    failed : tuple of Finding
        One for each repair that failed and of which nothing is in the document.
    """

    document: Document
    changes: tuple[Change, ...]
    failed: tuple[Finding, ...] = ()


def clean(
    document: Document,
    *,
    review: bool = False,
    only: Collection[str] = (),
    leave: Collection[str] = (),
    subject: Subject | None = None,
) -> Cleaned:
    """Repair a document.

    A repair that fails is left out as a whole: all others are made again from the document as it was, so that nothing
    half done stays.

    Parameters
    ----------
    document : Document
        Stays as it is.
    review : bool
        Run also the repairs that make a choice.
    only, leave : collection of str
        Ids of rules or families: only the repairs of these, all but the repairs of these. A repair of several rules is
        taken for one of them, and left for one of them.
    subject : Subject, optional
        The document as rules see it, where it was audited before: what they found in it together is found once.

    Raises
    ------
    UsageError
        A name in ``only`` or ``leave`` is that of no rule that can be repaired.
    """
    chosen = _chosen(review, only, leave)
    failed: list[Finding] = []
    while True:
        try:
            return Cleaned(*_repaired(document, chosen, subject), tuple(failed))
        except _RepairError as error:
            chosen.remove(error.repair)
            failed.append(REPAIR_FAILED.at(Place(), name=error.repair.name, cause=cause_of(error.cause)))


class _RepairError(Exception):
    """A repair failed, through a defect of its own."""

    def __init__(self, repair: Repair, cause: Exception) -> None:
        super().__init__(repair.name)
        self.repair = repair
        self.cause = cause


def _repaired(
    document: Document, chosen: Sequence[Repair], subject: Subject | None
) -> tuple[Document, tuple[Change, ...]]:
    """Make repairs on a copy until nothing changes any more."""
    copy = copy_document(document)
    copy.expand_loose_points()
    changes: list[Change] = []
    seen = Seen(copy, subject)
    last = len(chosen)
    for _ in range(_ROUNDS):
        if not last:
            break
        again, last = chosen[:last], 0  # those behind the last that changed something have seen the set as it is now
        for at, item in enumerate(each(again, "Repairing", "repairs"), 1):
            work = RepairWork(copy, seen)
            work.standing = item.standing
            _make(item, work)
            if work.changes:
                copy.touch()
                last = at
            seen = work.seen
            changes += work.changes
    return copy, tuple(changes)


def _make(item: Repair, work: RepairWork) -> None:
    try:
        item.run(work)
    except (TaskdataError, OSError):  # not the repair fails but the source, which the user has to know
        raise
    except Exception as error:  # whatever a repair does wrong must not keep the others from being made
        raise _RepairError(item, error) from error


def _chosen(review: bool, only: Collection[str], leave: Collection[str]) -> list[Repair]:
    ids = [rule for item in repairs() for rule in item.rules]
    only, leave = (known_names(names, ids, "no repair has this name") for names in (only, leave))
    standings = set(Standing) if review else {Standing.SAFE}
    return [item for item in repairs() if item.standing in standings and _wanted(item, only, leave)]


def _wanted(item: Repair, only: Collection[str], leave: Collection[str]) -> bool:
    """Tell whether a repair may run: as a whole, so that nothing changes that the journal does not say."""
    names = {name for rule in item.rules for name in (rule, rule.partition(".")[0])}
    return (not only or bool(names & set(only))) and not names & set(leave)
