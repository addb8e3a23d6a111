"""A grid has more columns or rows than the receiver takes.

What it checks
    That every grid has at most as many columns and rows as the profile of the receiver says (limits.grid_columns,
    limits.grid_rows).
Why it matters
    The terminal refuses the task, or reads only a part of the map: the rest is worked at the default rate or not at
    all.
Example
    Bad: a grid of 2,000 columns for a terminal that takes 1,000.
    Good: the same map in cells of twice the size.
How to fix
    Make the map again with larger cells, or cut it to the field; taskdata convert SOURCE TARGET --receiver FILE makes
    larger cells, with the mean rate by area.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.receiver._profile import against, said
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="receiver.grid-too-large",
    severity=Severity.ERROR,
    message=(
        "The grid {file} has {count} {what}, but {receiver} accepts {wanted}{basis}; it may refuse the task or read a "
        "part of it."
    ),
    remedy="Convert the set with [[convert(receiver)]], which makes larger cells, or make the map again.",
)
COLUMNS, ROWS = "limits.grid_columns", "limits.grid_rows"


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each direction in which a grid is too large."""
    for _, grid in subject.grids:
        for what, entry, count in (("columns", COLUMNS, grid.columns), ("rows", ROWS, grid.rows)):
            limit = said(subject, entry)
            if limit is not None and count > limit:
                facts = {"file": grid.file, "what": what, "count": count, "wanted": limit}
                yield against(subject, RULE, entry, grid.place, **facts)
