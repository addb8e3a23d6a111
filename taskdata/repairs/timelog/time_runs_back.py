"""Cut a log where its times run backwards: what follows becomes a log of its own in the same task.

Why it needs a look: no record is lost or altered, but which of the clocks is right has to be found out. Values that
were sent once before the cut are not repeated after it.
"""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from taskdata.amounts import counted
from taskdata.checks.timelog.time_runs_back import check, raised, steps_back
from taskdata.isoxml.files.blob import Blob
from taskdata.isoxml.timelog.encode import encode
from taskdata.isoxml.timelog.log import TimeLog
from taskdata.isoxml.tree.document import XmlFile
from taskdata.isoxml.tree.element import Element
from taskdata.isoxml.tree.filenames import file_name
from taskdata.isoxml.tree.next_number import next_number
from taskdata.isoxml.tree.stated_lengths import missing_bytes
from taskdata.isoxml.writing.write import xml_bytes
from taskdata.phrases import phrase
from taskdata.repairs.repair_work import RepairWork
from taskdata.repairs.timelog.stored import Stored, found_logs
from taskdata.results.cleaning import Standing

RULES = ("timelog.time-runs-back",)
STANDING = Standing.REVIEW
NEEDS = ("timelog.date-not-raised",)

MOST_PARTS = 10
"""A log that runs backwards more often has no order that cuts could restore; it is left."""
_NAME = re.compile(r"TLG([0-9]{5})", re.ASCII)


def repair(work: RepairWork) -> None:
    """Cut each such log before every record that begins long before the one it follows."""
    for stored, _ in found_logs(work, check):
        cuts = _cuts(stored.log)
        if len(cuts) >= MOST_PARTS or not _NAME.fullmatch((file_name(stored.element) or "").upper()):
            continue
        parts = _parts(stored.log, cuts)
        missing = missing_bytes(stored.element, stored.blob.size)
        stored.put_log(work, parts[0])
        _state(stored.element, parts[0])
        before, after = stored.element, []
        for part in parts[1:]:
            before = _add(work, stored, part, before)
            after.append(file_name(before))
        _state(before, parts[-1], missing)
        reason = phrase("times run backwards there; the records that follow become a separate log")
        whole, first = counted(len(stored.log), "record"), counted(len(parts[0]), "record")
        work.note(RULES[0], stored.element, whole, f"{first}; {', '.join(map(str, after))}", reason)


def _cuts(log: TimeLog) -> list[int]:
    """Return the records before which to cut, ascending."""
    _, after = steps_back(raised(log.time()))
    return [int(record) for record in after]


def _parts(log: TimeLog, cuts: list[int]) -> list[TimeLog]:
    """Return the log in pieces; what follows the last whole record stays with the last."""
    ends: NDArray[np.int64] = np.concatenate([[0], np.cumsum(log.counts, dtype=np.int64)])
    edges = [0, *cuts, len(log)]
    found = []
    for first, last in pairwise(edges):
        one, two = int(ends[first]), int(ends[last])
        trailing = log.trailing if last == len(log) else b""
        found.append(TimeLog(log.layout, log.rows[first:last], log.index[one:two], log.value[one:two], trailing))
    return found


def _add(work: RepairWork, stored: Stored, part: TimeLog, before: Element) -> Element:
    """Add a log with the header of another one after an element; return its own element."""
    document = work.document
    name = _free_name(work)
    root = _copy(stored.header.root, f"{name}.XML")
    header = replace(stored.header, name=f"{name}.XML", root=root, blob=None)
    header.blob = Blob.of(header.name, xml_bytes(header))
    document.xml_files.append(header)
    content = encode(part)
    document.others[f"{name}.BIN"] = Blob.of(f"{name}.BIN", content)
    element = Element("TLG", dict(stored.element.attributes), file=stored.element.file, line=stored.element.line)
    element.set("Filename", name)
    _state(element, part)
    parent = stored.element.parent
    if parent is not None:
        element.parent = parent
        parent.children.insert(parent.children.index(before) + 1, element)
    work.touch()
    return element


def _state(element: Element, part: TimeLog, missing: int = 0) -> None:
    """State the length of a piece, and of the last what is missing at the end, where a length was stated."""
    if element.get("Filelength") is not None:
        element.set("Filelength", str(len(encode(part)) + missing))


def _copy(element: Element, file: str) -> Element:
    twin = Element(element.tag, dict(element.attributes), file=file, line=element.line)
    for child in element.elements():
        twin.append(_copy(child, file))
    return twin


def _free_name(work: RepairWork) -> str:
    names = {file.name.upper().partition(".")[0] for file in _files(work)}
    named = {(file_name(element) or "").upper() for element in work.tagged("TLG")}
    return f"TLG{next_number(names | named, 'TLG'):05d}"


def _files(work: RepairWork) -> list[XmlFile | Blob]:
    return [*work.document.xml_files, *work.document.others.values()]
