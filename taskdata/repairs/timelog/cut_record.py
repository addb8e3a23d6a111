"""Cut what is left of a broken last record off a time log.

Why it needs a look: a few bytes go that no reader can use; the records before them stay to the last bit. A length that
is stated of a longer file stays ahead of it: it tells how much is missing.
"""

from __future__ import annotations

from taskdata.amounts import counted
from taskdata.isoxml.files.blob import Blob
from taskdata.isoxml.timelog.decode import decode
from taskdata.isoxml.timelog.files import facts_of, header_of
from taskdata.isoxml.timelog.layout import Layout
from taskdata.isoxml.tree.filenames import file_name
from taskdata.isoxml.tree.stated_lengths import follow_length
from taskdata.phrases import phrase
from taskdata.repairs.repair_work import RepairWork
from taskdata.results.cleaning import Standing

RULES = ("timelog.cut-record", "timelog.trailing-bytes")
STANDING = Standing.REVIEW
NEEDS = ("file.name-in-other-case", "schema", "reference.unnamed_file")


def repair(work: RepairWork) -> None:
    """Shorten each log that does not end with a record."""
    for element in work.tagged("TLG"):
        name = file_name(element) or ""
        header, blob = work.document.header(name), work.document.binary(name)
        content = None if header is None or blob is None else blob.content()
        if header is None or blob is None or content is None:
            continue
        log = decode(content, Layout.of(header_of(header.root), number=facts_of(work.document)))
        if log.trailing and len(log.trailing) < len(content):
            whole = content[: len(content) - len(log.trailing)]
            work.document.others[f"{name}.BIN".upper()] = Blob.of(blob.name, whole)
            reason = phrase("{count} bytes at the end are not a complete record", count=len(log.trailing))
            found = {item.rule.id for item in log.findings} & set(RULES)
            before, after = counted(len(content), "byte"), counted(len(whole), "byte")
            work.note(min(found, default=RULES[0]), element, before, after, reason)
            follow_length(element, len(content), len(whole))
