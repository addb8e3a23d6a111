"""A thing has no identifier.

What it checks
    That fields, farms, customers, machines, products, workers and tasks carry their identifier.
Why it matters
    A task cannot name its field, a set that comes back cannot be matched with the one that was sent.
Example
    A field whose identifier is empty. It is read, with an empty identifier.
How to fix
    Give it a new, unused identifier.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="model.missing-identifier",
    severity=Severity.ERROR,
    message="This {tag} has no identifier; nothing can refer to it.",
    remedy="Give it an identifier of its tag and a number, such as {tag}1.",
    clause="8.4",
)
