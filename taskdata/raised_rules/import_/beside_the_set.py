"""Beside the task data set lie layers, which are not read with it.

What it checks
    Whether a stick holds layers in other formats beside the folder TASKDATA.
Why it matters
    The folder TASKDATA is the set of a stick; what else lies there is not part of it and is not in the result.
Example
    A stick with the folder TASKDATA and, beside it, a folder of shapefiles from an office.
How to fix
    Nothing, if the set is what is meant; else give the path of the layers, or merge them with the set.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="import.beside-the-set",
    severity=Severity.NOTE,
    message="Beside the set lie {count}, which are not read with it: {found}.",
    remedy="Give their path to read them, or [[merge()]] to add them to the set.",
)
