"""The binary file of a grid has another size than its description says.

What it checks
    That a type 1 grid has one byte per cell; a type 2 grid four bytes for each setpoint of each cell. Columns x rows x
    these must be the size of the file.
Why it matters
    With a wrong number of columns every row is shifted against the previous one: rates end up in the wrong place of the
    field. With a file too short the north of the field has no rates. Do not work with such a map.
Example
    A grid of 100 columns and 80 rows with two setpoints needs 64000 bytes; the file has 32000: the template zone
    lists two setpoints, only one was written.
How to fix
    Export the map again from the program it was made with. Check the number of setpoints of the template zone.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="grid.wrong-size",
    severity=Severity.ERROR,
    message="The grid file has {octets} bytes, but {columns} x {rows} cells need {expected}.",
    remedy="Copy the file again or correct numbers of columns and rows; {whole} cells could be read.",
    clause="8.6.2",
    covers=("R-159", "R-160", "R-165"),
)
