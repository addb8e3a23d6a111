"""A copy of a document that may be changed while the original stays as it was."""

from __future__ import annotations

from dataclasses import replace

from taskdata.isoxml.document import Document
from taskdata.isoxml.element import Element


def copy_document(document: Document) -> Document:
    """Return a document with elements of its own; runs of points and files, which never change, are shared."""
    files = [
        replace(file, root=_copy(file.root), before=list(file.before), after=list(file.after))
        for file in document.xml_files
    ]
    return Document(document.source, files, dict(document.others), list(document.findings), document.folder)


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
