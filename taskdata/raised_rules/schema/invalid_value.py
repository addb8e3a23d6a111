"""The value of an attribute does not fit its type.

What it checks
    That the value of every attribute fits its type: limits of numbers, length of texts, form of identifiers, references
    and stamps, codes of enumerations, as far as the version of the file knows them.
Why it matters
    A file with one wrong value is not valid as a whole, and a terminal may refuse it as a whole.
Example
    PFD D="-5": an area cannot be negative. PNT A="9" in a file of version 3: this type came with version 4.
How to fix
    Correct the value at its origin. Texts that are too long are best shortened by hand, numbers that are out of range
    point to a wrong unit.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="schema.invalid-value",
    severity=Severity.ERROR,
    message="{attribute} is '{value}': {reason}; expected {expected}.",
    remedy="Correct the value in the program that wrote the file, or remove the attribute if it is optional.",
    clause="Annex D",
    covers=("R-003", "R-006", "R-020", "R-036", "R-044", "R-054", "R-056", "R-067", "R-072", "R-092"),
)
