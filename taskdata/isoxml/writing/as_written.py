"""A set as it reads once it is written, without a disk."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from taskdata.isoxml.files.blob import Blob
from taskdata.isoxml.files.folders import FOLDER
from taskdata.isoxml.files.set_files import FileSet
from taskdata.isoxml.reading.read import document_of
from taskdata.isoxml.tree.document import Document, XmlFile
from taskdata.isoxml.writing.write import named_files, xml_bytes

_NOTHING: Mapping[str, Blob] = {}


def as_written(document: Document, kept: Mapping[str, Blob] = _NOTHING) -> Document:
    """Return the set as it reads once it is written.

    Parameters
    ----------
    kept : mapping of str to Blob
        Files that are written as these bytes, by the name to write them under.

    Raises
    ------
    TargetError
        Two files have the same name, or one has a name that contains a path.
    """
    files = []
    for name, file in named_files(document):
        blob = kept.get(name) or (Blob.of(name, xml_bytes(file)) if isinstance(file, XmlFile) else file)
        files.append(replace(blob, name=name))
    again = document_of(FileSet(document.source, tuple(sorted(files, key=lambda blob: blob.name)), FOLDER))
    again.authored, again.before = document.authored, document.before
    return again
