"""A value is in a notation that the standard does not have.

What it checks
    Whether a value is in a notation that the standard does not have and that can mean one thing only: a number with a
    decimal comma or an exponent, a DDI without its leading zeros, a file name with its extension, a time stamp with a
    blank. One finding for each attribute and notation in a file, at the first such value. What can be read in two ways,
    such as 1,234 where a thousand is possible too, is not a number and is reported by schema.invalid-value.
Why it matters
    This program reads the value; a terminal may take another number, miss the file, or refuse the whole set.
Example
    PNT C="54,3001" for 54.3001, D="7.0E0" for 7.0, PDV A="6" for 0006, TLG A="TLG00001.BIN".
How to fix
    Clean the set, or set the program that wrote it to the notation of the standard. No value changes.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="schema.other-notation",
    severity=Severity.ERROR,
    message="{attribute} is written {value}, with {what} (values: {count}); the standard requires {wanted}.",
    remedy="Clean the set, which writes the values as the standard requires. Other programs may refuse the file.",
    clause="Annex D",
    covers=("R-056",),
)
