"""A file set to a document: what can be read is read, what cannot becomes a finding."""

from __future__ import annotations

import os
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from taskdata.errors import SourceError
from taskdata.file_formats.table import formats_of_layers, listed
from taskdata.findings import Place, Unread
from taskdata.isoxml.facts import ROOT
from taskdata.isoxml.files.blob import Blob, UnreadableFileError
from taskdata.isoxml.files.folders import MAIN
from taskdata.isoxml.files.opening import open_file_set
from taskdata.isoxml.files.set_files import FileSet, plain_name
from taskdata.isoxml.reading.parse import IllFormedError
from taskdata.isoxml.reading.xml_file import read_xml_file
from taskdata.isoxml.tree.document import Document
from taskdata.isoxml.tree.element import Element
from taskdata.isoxml.tree.filenames import FILE_ROLES, FILE_SUFFIXES, LINK_LIST, NAMED_LIKE_A_SET, file_name, file_names
from taskdata.litter import is_litter
from taskdata.phrases import phrase
from taskdata.raised_rules.file.link_outside import RULE as LINK_OUTSIDE
from taskdata.raised_rules.file.name_in_other_case import RULE as NAME_IN_OTHER_CASE
from taskdata.raised_rules.file.unreadable import RULE as UNREADABLE


def read_document(path: str | os.PathLike[str], *, rescue: bool = False) -> Document:
    """Read a file set: folder, stick, main file or zip.

    Parameters
    ----------
    path : path
        Where the set lies.
    rescue : bool
        Of an XML file that is cut off or damaged read what stands before that place, with a finding that says so. The
        header of a log is left out of this: without all of it the records cannot be told apart.

    Raises
    ------
    SourceError
        There is no set, or its main file cannot be parsed or has another root.
    UsageError
        There are several, and none is that of the stick.
    """
    return document_of(open_file_set(path), rescue=rescue)


def document_of(files: FileSet, *, rescue: bool = False) -> Document:
    """Read the set that lies in ``files``; see ``read_document``."""
    blob = files.find(MAIN)
    if blob is None:
        raise SourceError(f"holds no {MAIN}", where=files.where)
    return _Reading(files, blob, rescue=rescue).document


class _Reading:
    """One run of the reader over one set."""

    def __init__(self, files: FileSet, main: Blob, *, rescue: bool) -> None:
        self.files = files
        self._rescue = rescue
        self.document = Document(files.where, [], folder=files.folder)
        self._taken: set[str] = set()
        self._read_main(main)
        self._read_externals()
        self._read_headers()
        self._read_named(LINK_LIST, "linklist")
        mentioned = {name.upper() for name in self._wanted_names()}
        for blob in files.files:
            if blob.name not in self._taken and self._is_own(blob.name, mentioned):
                taken = blob.name.upper() in self.document.others
                self.document.others[blob.name if taken else blob.name.upper()] = blob
        for name in files.folders:
            if name.upper() in mentioned:
                self.document.others.setdefault(name.upper(), Blob.broken(name, "is a folder"))
        self._note_names()
        for name in files.outside:
            if not is_litter(name):
                self.document.findings.append(LINK_OUTSIDE.at(Place(file=name), file=name))
        self.document.findings += files.notes

    def _is_own(self, name: str, mentioned: set[str]) -> bool:
        """Tell whether a file is one of the set, and not of the system or of the folder it happens to lie in."""
        if name.upper() in mentioned:
            return True
        return not is_litter(name) and not (self.files.crowded and NAMED_LIKE_A_SET.fullmatch(name) is None)

    def _read_main(self, blob: Blob) -> None:
        if not blob.size:
            raise SourceError("is empty", where=self._where(blob), remedy="Copy it again from the original")
        try:
            self._read(blob, "main")
        except SourceError as error:
            error.where = self._where(blob)
            raise
        root = self.document.root
        if root.tag != ROOT:
            raise SourceError(
                f"is not a task data file: its root is {root.tag}, not {ROOT}",
                where=self._where(blob),
                remedy=f"Name the folder of a task data set, or give {listed(formats_of_layers())}",
            )

    def _where(self, blob: Blob) -> str:
        """Path of a file for messages: what the user named, or the file in it."""
        return self.files.where if self.files.main_named else str(Path(self.files.where) / blob.name)

    def _read_externals(self) -> None:
        for reference in list(self.document.root.elements("XFR")):
            self._read_referenced(reference, "external")

    def _read_headers(self) -> None:
        for element in [item for file in self.document.task_files for item in file.root.walk() if item.tag == "TLG"]:
            self._read_referenced(element, "header")

    def _read_referenced(self, element: Element, role: str) -> None:
        name = file_name(element)
        if name is not None and name == plain_name(name):
            self._read_named(f"{name}.XML", role, element)

    def _read_named(self, name: str, role: str, element: Element | None = None) -> None:
        blob = self.files.find(name)
        if blob is None or blob.name in self._taken:
            return
        try:
            self._read(blob, role)
        except (UnreadableFileError, OSError) as error:  # told with all named files
            blob.failed(error)
        except SourceError as error:
            what = phrase("is empty") if not blob.size else f"{error.what} ({error.why})" if error.why else error.what
            cut = blob.size and isinstance(error, IllFormedError) and role != "header"
            owner = None if element is None else element.nearest_id()
            role_of = FILE_ROLES[role]
            kind = role_of if owner is None else phrase("{kind} of {owner}", kind=role_of, owner=owner)
            unread = Unread(blob.name, kind, what, "[[rescue]] reads everything before that" if cut else "")
            found = UNREADABLE.at(Place(file=blob.name), file=blob.name, what=what)
            self.document.findings.append(replace(found, unread=unread))

    def _read(self, blob: Blob, role: str) -> None:
        file, findings = read_xml_file(blob, role, rescue=self._rescue and role != "header")
        self._taken.add(file.name)
        self.document.xml_files.append(file)
        self.document.findings += findings

    def _note_names(self) -> None:
        """Say which files of the set are not named as the set names them."""
        for wanted in self._wanted_names():
            blob = self.files.find(wanted)
            if blob is not None and blob.name != wanted:
                place = Place(file=blob.name)
                found = NAME_IN_OTHER_CASE.at(place, file=blob.name, wanted=wanted)
                self.document.findings.append(found)

    def _wanted_names(self) -> Iterator[str]:
        yield from (MAIN, LINK_LIST)
        for tag in FILE_SUFFIXES:
            for element in self.document.by_tag.get(tag, ()):
                yield from file_names(element)
