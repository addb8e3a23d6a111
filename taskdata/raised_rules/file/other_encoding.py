"""An XML file declares another encoding than UTF-8.

What it checks
    That an XML declaration names UTF-8.
Why it matters
    A receiver need not know any other encoding.
Example
    <?xml version="1.0" encoding="ISO-8859-1"?>
How to fix
    Convert the set; the text is kept and written as UTF-8.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="file.other-encoding",
    severity=Severity.ERROR,
    message="{file} declares the encoding {encoding}, but task data is UTF-8.",
    remedy="Convert the set, which writes it as UTF-8.",
    clause="8.5",
    covers=("R-004",),
)
