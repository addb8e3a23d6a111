"""A stored value points at a log value that the header does not list.

What it checks
    That the position stored with every value is lower than the number of DLV elements of the header. One finding a
    file, at the first such record, with the number of values concerned.
Why it matters
    Nobody can tell what such a value measures. Many of them mean that the header belongs to another log, and then
    every column of the log may be read wrongly.
Example
    The header lists three DLV, a record stores a value for position 3 (the first position is 0).
How to fix
    Find the header that was written with this binary file. If there is none, do not rely on the log.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="timelog.value-index-out-of-range",
    severity=Severity.ERROR,
    message=(
        "Values refer to position {index} or another one that the header does not list (values: {count}, listed: "
        "{listed})."
    ),
    remedy="Check that header and binary file belong together; such values have no meaning "
    "and are left out of results.",
    clause="8.6.3",
    covers=("R-198",),
)
