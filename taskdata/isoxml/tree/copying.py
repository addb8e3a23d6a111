"""A copy of a document that may be changed while the original stays as it was."""

from __future__ import annotations

from dataclasses import replace

from taskdata.isoxml.tree.document import Document
from taskdata.isoxml.tree.element import Element


def copy_document(document: Document) -> Document:
    """Return a document with elements of its own; runs of points and files, which never change, are shared."""
    files = [
        replace(file, root=_copy(file.root), before=list(file.before), after=list(file.after))
        for file in document.xml_files
    ]
    return replace(document, xml_files=files, others=dict(document.others), findings=list(document.findings))


def copy_to_change(document: Document) -> Document:
    """Return a copy that records are to be laid over; it remembers what the set was before."""
    copy = copy_document(document)
    copy.before = document.before if document.authored else (document,)
    return copy


def _copy(root: Element) -> Element:
    twin = Element(root.tag, dict(root.attributes), file=root.file, line=root.line)
    stack = [(root, twin)]
    while stack:
        old, new = stack.pop()
        for child in old.children:
            if isinstance(child, Element):
                fresh = Element(child.tag, dict(child.attributes), file=child.file, line=child.line)
                new.append(fresh)
                stack.append((child, fresh))
            else:
                new.children.append(child)
    return twin
