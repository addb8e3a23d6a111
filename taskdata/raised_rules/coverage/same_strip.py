"""Machines of one log work the same strip.

What it checks
    That the machines of a log work side by side, so their areas belong together.
Why it matters
    A machine that follows another one over the same strip, such as a drill behind a seed-bed combination, does a
    separate operation: what one of them missed, the other may have worked.
Example
    A drill of 3 m behind a combination of 3 m, each with a work state.
How to fix
    Choose one with --device if only that one matters.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="coverage.same-strip",
    severity=Severity.NOTE,
    message="{name} works the same strip as {others}; each is reported separately, and neither counts as working the "
    "other's area twice.",
    remedy="Choose one with [[device]] where only that one matters.",
)
