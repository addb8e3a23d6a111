"""A file that the set names is not there.

What it checks
    That every external file (XFR), time log header and binary file (TLG), grid (GRD), binary point file (PNT) and
    attachment (AFE) that an element names lies in the set.
Why it matters
    Everything in the file is lost to the receiver: products, fields, a whole log. Many receivers refuse the set.
Example
    Bad: <TLG A="TLG00001"/> while the folder holds TLG00001.XML but no TLG00001.BIN.
    Good: both files lie beside TASKDATA.XML.
How to fix
    Copy the set again, all files of its folder. If the file is gone for good, remove the element that names it.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="file.missing",
    severity=Severity.ERROR,
    message="{element} names the file {file}, which is not in the set.",
    remedy="Copy the whole folder of the set again, or remove the element that names the file.",
    clause="8.5, D.3, D.27, D.38, D.49, D.55",
    covers=("R-011",),
)
