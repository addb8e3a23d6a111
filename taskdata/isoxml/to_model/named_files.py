"""What became of every file that a set names: missing, unreadable, empty, shorter than stated, cut, without a header.

Binary files of logs, grids and points are read for it, unless they have been; attached files are not.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from taskdata.findings import Finding, Place, Rule, Severity, Unread
from taskdata.isoxml.binary.points import point_faults
from taskdata.isoxml.files.blob import Blob
from taskdata.isoxml.files.set_files import plain_name
from taskdata.isoxml.timelog.files import layout_of, outcome_of
from taskdata.isoxml.to_model import grids
from taskdata.isoxml.to_model.places import Places
from taskdata.isoxml.tree.document import Document
from taskdata.isoxml.tree.element import Element
from taskdata.isoxml.tree.filenames import FILE_KINDS, FILE_ROLES, FILE_SUFFIXES, file_name
from taskdata.isoxml.tree.stated_lengths import stated_length
from taskdata.model.tasks import Task, TaskStatus
from taskdata.phrases import phrase
from taskdata.progress import BYTES, stage
from taskdata.raised_rules.file.empty import RULE as EMPTY
from taskdata.raised_rules.file.missing import RULE as MISSING
from taskdata.raised_rules.file.path_in_reference import RULE as PATH_IN_REFERENCE
from taskdata.raised_rules.file.unreadable import RULE as UNREADABLE
from taskdata.raised_rules.file.wrong_length import RULE as WRONG_LENGTH
from taskdata.raised_rules.grid.wrong_size import RULE as WRONG_SIZE
from taskdata.raised_rules.points.cut_record import RULE as CUT_POINT
from taskdata.raised_rules.timelog.bad_constant import RULE as BAD_CONSTANT
from taskdata.raised_rules.timelog.cut_record import RULE as CUT_RECORD
from taskdata.raised_rules.timelog.field_cannot_be_stored import RULE as FIELD_CANNOT_BE_STORED
from taskdata.raised_rules.timelog.fixed_start import RULE as FIXED_START
from taskdata.raised_rules.timelog.no_count_octet import RULE as NO_COUNT
from taskdata.raised_rules.timelog.no_header import RULE as NO_HEADER
from taskdata.raised_rules.timelog.too_many_values import RULE as TOO_MANY_VALUES
from taskdata.raised_rules.timelog.trailing_bytes import RULE as TRAILING_BYTES
from taskdata.raised_rules.timelog.value_index_out_of_range import RULE as VALUE_INDEX

RULES = (
    UNREADABLE,
    PATH_IN_REFERENCE,
    MISSING,
    EMPTY,
    WRONG_LENGTH,
    CUT_RECORD,
    TRAILING_BYTES,
    VALUE_INDEX,
    NO_COUNT,
    FIELD_CANNOT_BE_STORED,
    BAD_CONSTANT,
    FIXED_START,
    TOO_MANY_VALUES,
    NO_HEADER,
    WRONG_SIZE,
    CUT_POINT,
)
"""What a look at the files may find."""

_LOOKED_INTO = {"TLG", "GRD", "PNT"}
"""Elements whose binary files are read."""
_NOTHING_YET = {str(int(status)) for status in (TaskStatus.PLANNED, TaskStatus.TEMPLATE)}


def look_at_files(document: Document, tasks: Sequence[Task]) -> tuple[Finding, ...]:
    """Return what is wrong with the files that a set names, and with those of its others that could not be read.

    Parameters
    ----------
    document : Document
        The set.
    tasks : sequence of Task
        Its tasks, whose grids say how many cells and setpoints their files hold.
    """
    return tuple(_Look(document, tasks).findings())


class _Look:
    """One look at the files of one document."""

    def __init__(self, document: Document, tasks: Sequence[Task]) -> None:
        self.document = document
        self.grids = {task.grid.key: task.grid for task in tasks if task.grid is not None}
        self.places = Places()
        self.parsed = {file.name.upper(): file for file in document.xml_files}
        self.told = {item.unread.file.upper() for item in document.findings if item.unread is not None}
        self.logs: set[str] = set()

    def findings(self) -> Iterator[Finding]:
        """Yield what is wrong with each named file, in the order of the set, then with files that nothing names."""
        elements = [element for tag in FILE_SUFFIXES for element in self.document.by_tag.get(tag, ())]
        sizes = [self._bytes_read(element) for element in elements]
        with stage("Reading logs, grids and points", BYTES, sum(sizes)) as advance:
            for element, size in zip(elements, sizes, strict=True):
                yield from self._of_element(element)
                advance(size)
        for blob in self.document.others.values():
            if blob.fault is not None and blob.name.upper() not in self.told:
                yield self._unreadable(blob, Place(file=blob.name), "file beside the set")

    def _bytes_read(self, element: Element) -> int:
        """Return how many bytes of a binary file are read for an element; those of an attached file are not."""
        name = file_name(element)
        blob = None if name is None or element.tag not in _LOOKED_INTO else self._file(f"{name}.BIN")
        return 0 if blob is None else blob.size

    def _of_element(self, element: Element) -> Iterator[Finding]:
        name = file_name(element)
        if name is None:
            return
        if name != plain_name(name):
            yield self._lost(PATH_IN_REFERENCE, element, name, "is named with a path, which was not followed")
            return
        *headers, named = (name + suffix for suffix in FILE_SUFFIXES[element.tag])
        for header in headers:
            yield from self._of_file(element, header, FILE_ROLES["header"])
        blob = self._file(named)
        inside = list(self._of_content(element, blob, name))
        yield from self._of_file(element, named, FILE_KINDS[element.tag])
        if blob is not None and blob.fault is None:
            empty = blob.size == 0 and element.tag in {"TLG", "PNT"}
            yield from [self._empty(element, blob)] if empty else self._of_length(element, blob)
        yield from inside

    def _file(self, name: str) -> Blob | None:
        parsed = self.parsed.get(name.upper())
        return self.document.others.get(name.upper()) if parsed is None else parsed.blob

    def _of_file(self, element: Element, name: str, kind: str) -> Iterator[Finding]:
        """Yield a finding where a named file is not there, or could not be read."""
        blob = self._file(name)
        if blob is None:
            if name.upper() not in self.parsed:  # one made of tables has no bytes of its own
                yield self._lost(MISSING, element, name, phrase("is not in the set"), kind=kind)
        elif blob.fault is not None:
            place = replace(self.places.of(element), file=blob.name, line=None, path=None)
            yield self._unreadable(blob, place, self._what(element, kind))

    def _of_length(self, element: Element, blob: Blob) -> Iterator[Finding]:
        stated = stated_length(element)
        if stated is None or stated == blob.size:
            return
        place = self.places.of(element)
        longer, owner = blob.size > stated, place.element or element.tag
        severity = Severity.WARNING if longer else Severity.ERROR
        found = WRONG_LENGTH.at(place, severity=severity, file=blob.name, size=blob.size, stated=stated, element=owner)
        if longer:
            yield found
            return
        why = phrase("has {size} of the {stated} bytes that the set states", size=blob.size, stated=stated)
        yield replace(found, unread=Unread(blob.name, self._what(element), why))

    def _of_content(self, element: Element, blob: Blob | None, name: str) -> Iterator[Finding]:
        """Read a binary file, where that has not been done, and yield what is wrong in it or in its header."""
        owner = self.places.owner(element)
        for finding in self._found(element, blob, name):
            why = _why(finding)
            unread = None if why is None or blob is None else Unread(blob.name, self._what(element), why)
            yield replace(finding, place=replace(finding.place, element=owner), unread=unread)

    def _found(self, element: Element, blob: Blob | None, name: str) -> Iterator[Finding]:
        if element.tag == "TLG" and name.upper() not in self.logs:
            self.logs.add(name.upper())
            yield from self._of_log(blob, name)
        elif element.tag == "PNT" and blob is not None:
            yield from point_faults(blob, element.attributes)
        elif element.tag == "GRD" and blob is not None:
            grid = self.grids.get(self.document.keys.get(element))
            yield from () if grid is None else grids.faults(self.document, grid)

    def _of_log(self, blob: Blob | None, name: str) -> Iterator[Finding]:
        header, layout = self.document.header(name), layout_of(self.document, name)
        if layout is None:
            if header is not None and blob is not None:  # a header that is not there, or not XML, has been told
                yield NO_HEADER.at(Place(file=blob.name), other=header.name, file=blob.name)
            return
        found = outcome_of(self.document, name, layout)
        yield from (*layout.findings, *(() if found is None else found.findings))

    def _empty(self, element: Element, blob: Blob) -> Finding:
        place = self.places.of(element)
        kind, owner = FILE_KINDS[element.tag], place.element or element.tag
        task = element.parent
        nothing_yet = element.tag == "TLG" and task is not None and task.get("TaskStatus") in _NOTHING_YET
        severity = Severity.NOTE if nothing_yet else Severity.ERROR
        found = EMPTY.at(place, severity=severity, file=blob.name, kind=kind, element=owner)
        return (
            found if nothing_yet else replace(found, unread=Unread(blob.name, self._what(element), phrase("is empty")))
        )

    def _lost(self, rule: Rule, element: Element, name: str, why: str, *, kind: str | None = None) -> Finding:
        place = self.places.of(element)
        found = rule.at(place, element=place.element or element.tag, file=name, wanted=name)
        return replace(found, unread=Unread(name, self._what(element, kind), why))

    def _unreadable(self, blob: Blob, place: Place, what: str) -> Finding:
        self.told.add(blob.name.upper())
        why = phrase("cannot be read ({reason})", reason=blob.fault)
        found = UNREADABLE.at(place, file=blob.name, what=why)
        return replace(found, unread=Unread(blob.name, what, why))

    def _what(self, element: Element, kind: str | None = None) -> str:
        owner, told = self.places.owner(element), kind or FILE_KINDS[element.tag]
        return phrase("{kind} of {owner}", kind=told, owner=owner) if owner else told


def _why(finding: Finding) -> str | None:
    """Return why a binary file was not read as a whole, None where what is wrong with it hides nothing."""
    facts = finding.facts
    if finding.rule is CUT_RECORD:
        return phrase("is cut: {count} complete records could be read", count=facts["records"])
    if finding.rule is NO_HEADER:
        return phrase("cannot be read without the description in {file}", file=facts["other"])
    if finding.rule is CUT_POINT:
        return phrase("is cut: {count} complete points could be read", count=facts["records"])
    octets, expected = facts.get("octets"), facts.get("expected")
    if finding.rule is WRONG_SIZE and isinstance(octets, int) and isinstance(expected, int) and octets < expected:
        return phrase("has {size} of the {stated} bytes that its cells need", size=octets, stated=expected)
    return None
