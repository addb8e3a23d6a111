"""Attached files and the link list are left out."""

from __future__ import annotations

from taskdata.adapt.adaptation import Adaptation
from taskdata.amounts import counted
from taskdata.isoxml.tree.filenames import BINARY, file_names
from taskdata.phrases import phrase


def drop_attachments(work: Adaptation) -> None:
    """Leave out attached files (AFE), the link list among them, and the files themselves (R-234)."""
    document = work.document
    named = {name.upper() for element in work.tagged(*BINARY) for name in file_names(element)}
    listed = "" if document.link_list is None else document.link_list.name.upper()
    for attachment in work.tagged("AFE"):
        name = attachment.get("FilenameWithExtension") or ""
        if name.upper() != listed:
            work.drop(attachment, phrase("attached file {name}", name=name))
        work.remove(attachment)
        if name.upper() not in named:
            document.others.pop(name.upper(), None)
    if document.link_list is not None:
        links = sum(1 for element in document.link_list.root.walk() if element.tag == "LNK")
        work.drop(
            None,
            phrase("link list {name} with {count}", name=document.link_list.name, count=counted(links, "link")),
            phrase("{reason}; keep the original to match what comes back", reason=work.reason),
        )
        document.xml_files = [file for file in document.xml_files if file.role != "linklist"]
