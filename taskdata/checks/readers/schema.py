"""What validation against the schema of the version finds in every XML file, passed on.

A reference that names an element of the wrong type also breaks the pattern of its attribute; ``reference.wrong-type``
says it better, so it is left to that rule.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.subject import Subject
from taskdata.findings import Finding
from taskdata.isoxml.schema import rules
from taskdata.isoxml.schema.layout import Kind
from taskdata.isoxml.schema.validate import validate

RULES = rules.RULES
_KINDS: dict[str, Kind] = {"main": "task", "external": "external", "header": "header", "linklist": "linklist"}


def check(subject: Subject) -> Iterator[Finding]:
    """Yield the findings of every XML file that was read from bytes."""
    if subject.document is None:
        return
    better = {
        (reference.element.file, reference.element.line, reference.element.tag, reference.fact.letter)
        for reference in subject.misled
    }
    for file in subject.document.xml_files:
        if file.blob is None:
            continue
        for finding in validate(file.blob.read(), _KINDS[file.role], subject.document.version, file.name):
            tag, _, letter = str(finding.facts.get("attribute", "")).partition(" ")[0].partition(".")
            if (finding.place.file, finding.place.line, tag, letter) not in better:
                yield finding
