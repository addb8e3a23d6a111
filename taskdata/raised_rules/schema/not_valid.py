"""An XML file is not valid for another reason.

What it checks
    Whether an XML file is invalid for a reason that no other rule explains: it is not well formed, or the parser
    gives a reason of its own.
Why it matters
    A file that is not valid against the schema of its version cannot be processed.
Example
    A file that ends in the middle of a tag because a medium was removed too early.
How to fix
    Get the file again from its origin. A cut file has lost data; do not just close its tags.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="schema.not-valid",
    severity=Severity.ERROR,
    message="The file is not valid: {reason}.",
    remedy="Write the file again with the program it comes from.",
    clause="8.2, 8.3",
    covers=("R-006",),
)
