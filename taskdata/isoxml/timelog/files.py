"""The two files of a time log in a set: what the header says, and the records that the binary file holds."""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.isoxml.files.blob import Blob, UnreadableFileError
from taskdata.isoxml.timelog.decode import decode
from taskdata.isoxml.timelog.layout import Layout, LogHeader
from taskdata.isoxml.timelog.log import TimeLog
from taskdata.isoxml.timelog.scan import PIECE, Outcome, in_parts, scan
from taskdata.isoxml.tree.document import Document
from taskdata.isoxml.tree.element import Element
from taskdata.versions import facts_version, versions

PART = 1 << 21
"""Bytes of a log that are made records of at once."""


def header_of(time: Element) -> LogHeader:
    """Return the header that a TIM element holds."""
    position = next(time.elements("PTN"), None)
    values = list(time.elements("DLV"))
    return LogHeader(
        time=time.attributes,
        position=None if position is None else position.attributes,
        values=tuple(item.attributes for item in values),
        time_line=time.line or None,
        position_line=None if position is None else position.line or None,
        value_lines=tuple(item.line or None for item in values),
    )


def layout_of(document: Document, name: str) -> Layout | None:
    """Return what the header of the log with that base name says, None where there is none that says it."""
    header = document.header(name)
    time = None if header is None else next((item for item in header.root.walk() if item.tag == "TIM"), None)
    if header is None or time is None:
        return None
    return Layout.of(header_of(time), header.name, facts_of(document))


def facts_of(document: Document) -> int | None:
    """Return the version whose facts hold for a set, None where it states none that was published."""
    version = document.version
    known = {item.number for item in versions()}
    return facts_version(version[0]) if version is not None and version[0] in known else None


def read_log(document: Document, name: str, layout: Layout | None = None) -> TimeLog | None:
    """Return the log with that base name, None where header or binary file is missing or cannot be read.

    Parameters
    ----------
    document : Document
        The set.
    name : str
        Base name of both files.
    layout : Layout, optional
        What the header says, where it is known already.
    """
    blob, layout = document.binary(name), layout or layout_of(document, name)
    content = None if blob is None or layout is None else blob.content()
    if blob is None or layout is None or content is None:
        return None
    found = decode(content, layout, file=blob.name)
    blob.remember(_key(layout), Outcome(len(found), found.findings, found.layout))
    return found


def outcome_of(document: Document, name: str, layout: Layout | None = None, *, extent: bool = False) -> Outcome | None:
    """Return what came of decoding a log; see ``read_log``. What was looked through before is not read again.

    Parameters
    ----------
    extent : bool
        It has to tell when and where the log was recorded.
    """
    blob, layout = document.binary(name), layout or layout_of(document, name)
    if blob is None or layout is None:
        return None
    known = _known(blob, layout)
    if known is None or (extent and known.extent is None):
        found = scan(lambda: blob.pieces(PIECE), layout, file=blob.name)
        if blob.fault is not None:
            return None
        blob.remember(_key(layout), found)
        return found
    return known


def read_in_parts(document: Document, name: str, layout: Layout | None = None) -> Iterator[TimeLog]:
    """Yield the records of a log, some at a time, nothing where they cannot be read; see ``read_log``.

    Raises
    ------
    UnreadableFileError
        The file could be read before, and no more.
    """
    blob, found = document.binary(name), outcome_of(document, name, layout)
    if blob is None or found is None or found.layout is None:
        return
    yield from in_parts(blob.pieces(PART), found.layout, found.records)
    if blob.fault is not None:
        raise UnreadableFileError("cannot be read any more", where=blob.name, why=blob.fault)


def _known(blob: Blob, layout: Layout) -> Outcome | None:
    found: Outcome | None = blob.known(_key(layout))
    return found


def _key(layout: Layout) -> tuple[object, ...]:
    return ("TLG", layout.fields, len(layout.values))
