"""A GeoJSON file states a coordinate reference system, which RFC 7946 no longer knows.

What it checks
    That a GeoJSON file has no member "crs".
Why it matters
    RFC 7946 removed it: GeoJSON is always WGS 84. The member was used here, but other programs may ignore it and place
    the data somewhere else.
Example
    "crs": {"type": "name", "properties": {"name": "urn:ogc:def:crs:EPSG::25832"}}
How to fix
    Save the file in WGS 84 without the member.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="import.crs-member",
    severity=Severity.NOTE,
    message="{layer} states its coordinate reference system in a member that RFC 7946 has removed; it was used.",
    remedy="Save the file in WGS 84.",
    clause="RFC 7946 section 4",
)
