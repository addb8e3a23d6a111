"""A layer of a kind that is not read here is left aside.

What it checks
    Whether a layer of another program holds what machines covered, or something that task data has no place for.
Why it matters
    Its rows are not in the result.
Example
    A thousand slivers of the ground that a drill covered, without times or widths that make passes of them.
How to fix
    If it is something else, say what it is with --role.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="import.kind-set-aside",
    severity=Severity.WARNING,
    message="{layer} is left aside: it is taken as {kind} (about {share} certain), because {reason}.",
    remedy="If it is something else, say so with [[roles]].",
)
