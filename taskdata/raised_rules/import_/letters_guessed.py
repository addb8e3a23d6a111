"""The encoding of the texts in a table is a guess.

What it checks
    That the texts of a table are in the encoding that the table or its .cpg states, UTF-8 where nothing does.
Why it matters
    The texts were read as windows-1252, which is a guess: letters with accents may be wrong.
Example
    A shapefile of an older program without a .cpg, with umlauts in its names.
How to fix
    Check the names. Beside a shapefile copy the .cpg too, or write one that names the encoding; save a text in UTF-8.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="import.letters-guessed",
    severity=Severity.WARNING,
    message="The texts of {layer} are not in the encoding stated, or in UTF-8; they were read as {guess}, which is a "
    "guess.",
    remedy="Check the names. Copy the .cpg of a shapefile too, or save a text in UTF-8.",
)
