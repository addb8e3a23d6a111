"""What a merge gives: what was recognised as one thing, what had to be decided, what got other numbers."""

from __future__ import annotations

from dataclasses import field
from enum import StrEnum

from taskdata.dataclass import dataclass
from taskdata.findings import Finding, Unread
from taskdata.ledger import Loss
from taskdata.model.choice import Chosen
from taskdata.records import short_repr


class How(StrEnum):
    """By what two things were recognised as one, the surest first.

    ``PLAN`` is a task of one identifier and name, whose field and owners do not contradict; ``LINE`` is a group
    without a name that holds a guidance line of the other. From ``PLAN`` on a person may want to see the choice.
    """

    LINK = "link"
    CONTENT = "identifier and content"
    VALUES = "content"
    KEY = "number or place within its parent"
    PLAN = "identifier, name and field"
    NAME = "name"
    PLACE = "name and place"
    LINE = "a shared line"
    GROUND = "common ground"

    @property
    def unsure(self) -> bool:
        """Tell whether a person may want to see the choice."""
        return self in {How.PLAN, How.NAME, How.PLACE, How.LINE, How.GROUND}


class DecisionKind(StrEnum):
    """Two things were taken for one, sources say different things of one, or a file had to get another name."""

    RECOGNISED = "recognised"
    CONFLICT = "conflict"
    RENAMED = "renamed"


@short_repr
@dataclass(frozen=True, slots=True)
class Decision:
    """One line of the review journal.

    Parameters
    ----------
    kind : DecisionKind
        What was decided.
    element : str or None
        Identifier, in the result, of the nearest identified element.
    what, why : str
        The thing in plain words, and the rule by which it was decided.
    kept : str or None
        The value that the result holds, or the source it holds.
    dropped : tuple of str
        The values that it does not hold.
    """

    kind: DecisionKind
    element: str | None
    what: str
    why: str
    kept: str | None = None
    dropped: tuple[str, ...] = ()


@short_repr
@dataclass(frozen=True, slots=True)
class Recognised:
    """One thing that stands in several sources.

    Parameters
    ----------
    element : str
        Identifier in the result.
    what : str
        The thing in plain words.
    how : How
        By what it was recognised; of several steps the least sure.
    sources : dict of str to str
        The identifier it has in each source.
    """

    element: str
    what: str
    how: How
    sources: dict[str, str] = field(hash=False)


@short_repr
@dataclass(frozen=True, slots=True)
class Merging:
    """What a merge did, or would do.

    Parameters
    ----------
    sources : tuple of str
        As named by the caller.
    target : str
        As named by the caller.
    written : dict of str to int
        How many things of each kind the target holds.
    merged : tuple of Recognised
        What stands in several sources, and once in the target.
    renumbered : dict of str to dict of str to str
        By source: identifiers and file names that changed, old to new.
    journal : tuple of Decision
        What a person may want to look at: things taken for one, and which word was kept where sources disagree.
    losses : tuple of Loss
        The ledger.
    findings : tuple of Finding
        What reading the sources found wrong.
    new_errors : tuple of Finding
        As of a ``Conversion``; only where a source was made of layers or has edited rows.
    lacking : tuple of Unread
        What of that the target lacks too, since no source has it whole.
    chosen : Chosen or None
        What of the sources stayed behind where only a part was chosen, added up.
    named : dict of str to int
        How many ``logs`` and ``grids`` the target names, those without a readable file included.
    """

    sources: tuple[str, ...]
    target: str
    written: dict[str, int]
    merged: tuple[Recognised, ...]
    renumbered: dict[str, dict[str, str]]
    journal: tuple[Decision, ...]
    losses: tuple[Loss, ...]
    findings: tuple[Finding, ...] = ()
    new_errors: tuple[Finding, ...] = ()
    named: dict[str, int] = field(default_factory=dict)
    lacking: tuple[Unread, ...] = ()
    chosen: Chosen | None = None
