"""How much is known of what was covered: ground that no record tells of is unknown, never missed."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from taskdata.fieldwork.sweeps.log_work import LogWork
from taskdata.findings import Finding
from taskdata.raised_rules.coverage.empty_log import RULE as EMPTY_LOG
from taskdata.raised_rules.coverage.log_in_part import RULE as LOG_IN_PART
from taskdata.raised_rules.coverage.no_position import RULE as NO_POSITION
from taskdata.raised_rules.coverage.unreadable_log import RULE as UNREADABLE_LOG
from taskdata.results.areas import Areas
from taskdata.results.coverage import Coverage, Known

_LESS = {
    UNREADABLE_LOG,
    EMPTY_LOG,
    LOG_IN_PART,
    NO_POSITION,
}


def known_of(works: Sequence[LogWork], notes: Iterable[Finding]) -> Known:
    """Return how much is known of the ground.

    Parameters
    ----------
    works : sequence of Work
        What the logs tell of.
    notes : iterable of Finding
        What was said of the logs: that one cannot be read, is empty, ends early or holds no position.
    """
    if not any(len(work.track.kept) for work in works):
        return Known.NOTHING
    return Known.PART if any(note.rule in _LESS for note in notes) else Known.WHOLE


def as_known(found: Coverage, known: Known) -> Coverage:
    """Return a coverage without figures and places that nothing is known of."""
    if known is Known.WHOLE:
        return found
    areas: Areas = replace(
        found.areas, missed_m2=None, missed_places=None, missed_ignored=None, late_missed_m2=None, intervals={}
    )
    if known is Known.NOTHING:
        areas = replace(areas, outside_m2=None, late_outside_m2=None)
    kinds = {"worked", "double", "outside", "outside-late"} if known is Known.PART else set()
    draw = found.draw
    return replace(
        found,
        areas=areas,
        method=found.method if found.records else "none: there is no record",
        known=known,
        draw=lambda: {kind: shape for kind, shape in draw().items() if kind in kinds},
    )
