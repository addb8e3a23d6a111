"""What validation against the schema of the version finds in every XML file, passed on.

A reference that names an element of the wrong type also breaks the pattern of its attribute; ``reference.wrong-type``
says it better, so it is left to that rule. So are points beyond a pole or 180 degrees, which ``geometry.off-earth``
tells once for a line with their number.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from typing import TypeAlias

from taskdata.checks.subject import Reference, Subject
from taskdata.findings import Finding
from taskdata.isoxml.facts import letter
from taskdata.isoxml.files.blob import UnreadableFileError
from taskdata.isoxml.schema.layout import Kind
from taskdata.isoxml.schema.validate import validate
from taskdata.isoxml.tree.document import XmlFile
from taskdata.isoxml.tree.element import POINT
from taskdata.isoxml.writing.write import xml_bytes
from taskdata.raised_rules.identity.repeated_id import RULE as REPEATED_ID
from taskdata.raised_rules.schema.invalid_value import RULE as INVALID_VALUE
from taskdata.raised_rules.schema.misplaced_element import RULE as MISPLACED_ELEMENT
from taskdata.raised_rules.schema.missing_attribute import RULE as MISSING_ATTRIBUTE
from taskdata.raised_rules.schema.missing_element import RULE as MISSING_ELEMENT
from taskdata.raised_rules.schema.not_valid import RULE as NOT_VALID
from taskdata.raised_rules.schema.other_notation import RULE as OTHER_NOTATION
from taskdata.raised_rules.schema.text_content import RULE as TEXT_CONTENT
from taskdata.raised_rules.schema.unknown_name import RULE as UNKNOWN_NAME

RULES = (
    INVALID_VALUE,
    OTHER_NOTATION,
    MISSING_ATTRIBUTE,
    UNKNOWN_NAME,
    MISPLACED_ELEMENT,
    MISSING_ELEMENT,
    TEXT_CONTENT,
    NOT_VALID,
    REPEATED_ID,
)
_Spot: TypeAlias = tuple[str | None, str | None, str]
_POSITION = {f"{POINT}.{letter(POINT, 'PointNorth')}": 90.0, f"{POINT}.{letter(POINT, 'PointEast')}": 180.0}
_DECIMAL = re.compile(r"[+-]?\d+(\.\d+)?")
_KINDS: dict[str, Kind] = {"main": "task", "external": "external", "header": "header", "linklist": "linklist"}


def check(subject: Subject) -> Iterator[Finding]:
    """Yield the findings of every XML file.

    A file that comes out of the tables of another format has no bytes of its own; it is checked as it would be written,
    and its findings have no line.
    """
    if subject.document is None:
        return
    better = {_misled(subject, reference) for reference in subject.misled}
    for file in subject.document.xml_files:
        for finding in _faults(file, subject.document.version):
            if _spot(finding) not in better and not _is_off_earth(finding):
                yield finding if file.blob is not None else replace(finding, place=replace(finding.place, line=None))


def _faults(file: XmlFile, version: tuple[int, int] | None) -> list[Finding]:
    """Return what validation finds in one file.

    Raises
    ------
    UnreadableFileError
        Its bytes cannot be had.
    """
    content = xml_bytes(file) if file.blob is None else file.blob
    try:
        return validate(content, _KINDS[file.role], version, file.name)
    except (UnreadableFileError, OSError) as error:
        raise error if file.blob is None else file.blob.failed(error) from error


def _misled(subject: Subject, reference: Reference) -> _Spot:
    place = subject.place(reference.element)
    return place.file, place.path, f"{reference.element.tag}.{reference.fact.letter}"


def _is_off_earth(finding: Finding) -> bool:
    """Tell whether a finding is about a latitude or longitude of a point that is a number, and out of range."""
    attribute = str(finding.facts.get("attribute", "")).partition(" ")[0]
    if attribute not in _POSITION or finding.rule is not INVALID_VALUE:
        return False
    text = str(finding.facts.get("value", "")).strip()
    return bool(_DECIMAL.fullmatch(text)) and abs(float(text)) > _POSITION[attribute]


def _spot(finding: Finding) -> _Spot:
    """Return file, path, and the attribute such as ``PFD.E`` that a finding is about."""
    return finding.place.file, finding.place.path, str(finding.facts.get("attribute", "")).partition(" ")[0]
