"""A task does not say how its machines are joined; their only connectors are taken.

What it checks
    That a task says which connectors join its machines (CNN).
Why it matters
    The position of the implement depends on it; each machine has only one connector that fits, and these are used.
Example
    A tractor with one rear hitch, and a sprayer with one connector, without CNN.
How to fix
    Give the position of the implement with --offset-back and --offset-right.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="coverage.assumed-joint",
    severity=Severity.NOTE,
    message="The task does not say how the machines of {file} are connected; their only connectors are used.",
    remedy="Give the position of the implement with [[offset_back_m]] where that is wrong.",
)
