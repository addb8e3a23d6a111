"""A document to files: the same files, the same content, names in capitals, UTF-8."""

from __future__ import annotations

import shutil
import tempfile
import zipfile
from collections.abc import Iterator, Mapping, Sequence
from contextlib import AbstractContextManager
from pathlib import Path
from typing import BinaryIO

from taskdata.isoxml.files.blob import Blob
from taskdata.isoxml.files.folders import FOLDER
from taskdata.isoxml.files.portable import refuse_name, unwritten
from taskdata.isoxml.tree.document import Document, XmlFile
from taskdata.isoxml.tree.element import Element, Node, OtherNode, PointRun
from taskdata.isoxml.tree.mojibake import as_meant, find_mojibake
from taskdata.isoxml.writing.points import PointWriter, escaped
from taskdata.ledger import Loss, LossKind
from taskdata.phrases import phrase
from taskdata.progress import BYTES, Advance, stage

DECLARATION = '<?xml version="1.0" encoding="UTF-8"?>\n'
_INDENT = "  "
_TEXT_ESCAPES = str.maketrans({"&": "&amp;", "<": "&lt;", ">": "&gt;", "\r": "&#13;"})
_ZIP_DATE = (1980, 1, 1, 0, 0, 0)
_BUFFER = 1 << 18
_IN_MEMORY = 64 << 20
_MEMBER_MODE = 0o644 << 16
_TAKEN = "another file has the same name"


def write_folder(document: Document, folder: Path) -> None:
    """Write every file of the set into ``folder``, which is made and must not exist.

    A file that cannot be read is left out; its ``fault`` says why.

    Raises
    ------
    TargetError
        Two files have the same name on this disk, or one has a name that is no file's on every system.
    """
    folder.mkdir()
    files = named_files(document)
    with _writing(files) as advance:
        for name, content in files:
            try:
                with (folder / name).open("xb") as stream:
                    whole = _write(content, stream, advance)
            except FileExistsError as error:
                raise unwritten(name, _TAKEN) from error
            if not whole:
                (folder / name).unlink()


def write_zip(documents: Document | Mapping[str, Document], path: Path) -> None:
    """Write the set into the folder ``TASKDATA`` of a new archive at ``path``; several ones each into such a folder.

    A file that cannot be read is left out; its ``fault`` says why.

    Parameters
    ----------
    documents : Document or mapping of str to Document
        One set, or several by the folder that the folder ``TASKDATA`` of each lies in.
    path : Path
        Nothing stands there yet.

    Raises
    ------
    TargetError
        Two files have the same name, or one has a name that is no file's on every system.
    """
    folders = {FOLDER: documents} if isinstance(documents, Document) else _folders(documents)
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for folder, document in folders.items():
            files = named_files(document)
            with _writing(files) as advance:
                for name, content in files:
                    _write_member(archive, f"{folder}/{name}", content, advance)


def _write_member(archive: zipfile.ZipFile, path: str, content: XmlFile | Blob, advance: Advance) -> None:
    member = zipfile.ZipInfo(path, _ZIP_DATE)
    member.compress_type = zipfile.ZIP_DEFLATED
    member.external_attr = _MEMBER_MODE
    with tempfile.SpooledTemporaryFile(_IN_MEMORY) as held:
        if not _write(content, held, advance):  # type: ignore[arg-type]  # a binary stream, typed as IO[bytes]
            return
        held.seek(0)
        with archive.open(member, "w", force_zip64=True) as stream:
            shutil.copyfileobj(held, stream)


def _writing(files: Sequence[tuple[str, XmlFile | Blob]]) -> AbstractContextManager[Advance]:
    """Tell how much is written, of about as much as was read; of a set made anew that is not known."""
    sizes = [content.size for _, content in files]
    known = [size for size in sizes if size]
    return stage("Writing files", BYTES, sum(known) if len(known) == len(sizes) else None, about=True)


def _folders(documents: Mapping[str, Document]) -> dict[str, Document]:
    return {f"{name}/{FOLDER}": document for name, document in documents.items()}


def xml_bytes(file: XmlFile) -> bytes:
    """Return the bytes of one XML file, UTF-8 with declaration; see ``xml_text``."""
    return "".join(xml_text(file)).encode()


def xml_text(file: XmlFile) -> Iterator[str]:
    """Yield the text of one XML file piece by piece, to be encoded as UTF-8.

    Where the bytes of a file are UTF-8 and its declaration says something else, they and it stay: wrong letters would
    be there for good.
    """
    yield "\ufeff" if file.mark else ""
    if find_mojibake(file) is None:
        yield DECLARATION
        yield from _content(file)
        return
    encoding = str(file.encoding)
    yield DECLARATION.replace("UTF-8", encoding)
    for piece in _content(file):
        yield as_meant(piece, encoding)


def _content(file: XmlFile) -> Iterator[str]:
    for stray in file.before:
        yield _stray(stray) + "\n"
    yield from _element(file.root, " />" if file.spaced else "/>")
    yield "\n"
    for stray in file.after:
        yield _stray(stray) + "\n"


def writing_changes(document: Document) -> list[Loss]:
    """Return what writing this document changes without being asked: file names and encodings."""
    losses = []
    for file in document.xml_files:
        if find_mojibake(file) is not None:
            continue
        if file.guessed or (file.encoding or "UTF-8").upper() not in {"UTF-8", "UTF8", "US-ASCII", "ASCII"}:
            told = phrase(
                "encoding of {name}: {guessed} becomes UTF-8", name=file.name, guessed=file.guessed or file.encoding
            )
            why = "task data is UTF-8" + ("; the letters were guessed" if file.guessed else "")
            losses.append(Loss(LossKind.CHANGED, None, told, why))
    for name, content in named_files(document):
        if content.name != name:
            told = phrase("file name {name} becomes {name_2}", name=content.name, name_2=name)
            losses.append(Loss(LossKind.CHANGED, None, told, phrase("names are in capitals")))
    return losses


def named_files(document: Document) -> list[tuple[str, XmlFile | Blob]]:
    """Return every file with the name to write it under: capitals, unless another file has that name already.

    Files that are known to be unreadable are left out.

    Raises
    ------
    TargetError
        Two files have the same name, or one has a name that is no file's on every system.
    """
    readable = (blob for blob in document.others.values() if blob.fault is None)
    contents: list[XmlFile | Blob] = [*document.xml_files, *readable]
    named: dict[str, XmlFile | Blob] = {}
    for content in sorted(contents, key=lambda item: item.name != item.name.upper()):
        name = content.name.upper()
        if name in named:
            name = content.name
        if name in named:
            raise unwritten(name, _TAKEN)
        refuse_name(name)
        named[name] = content
    return list(named.items())


def _write(content: XmlFile | Blob, stream: BinaryIO, advance: Advance) -> bool:
    """Write one file; return False where it turned out to be unreadable, and part of it was written."""
    if isinstance(content, Blob):
        for octets in content.pieces():
            advance(stream.write(octets))
        return content.fault is None
    pieces: list[str] = []
    size = 0
    for piece in xml_text(content):
        pieces.append(piece)
        size += len(piece)
        if size > _BUFFER:
            advance(stream.write("".join(pieces).encode()))
            pieces.clear()
            size = 0
    advance(stream.write("".join(pieces).encode()))
    return True


def element_text(element: Element) -> str:
    """Return an element and all below it as XML text; equal texts mean equal content."""
    return "".join(_element(element, "/>"))


def _element(root: Element, end: str) -> Iterator[str]:
    """Yield an element and all below it; ``end`` closes those without content.

    Nothing is put between the children of an element where one of them is text.
    """
    points = PointWriter(end)
    levels: list[tuple[Iterator[Node], str, str]] = [(iter([root]), "", "")]
    while levels:
        rest, before, behind = levels[-1]
        for node in rest:
            if isinstance(node, PointRun):
                yield points.text(node, before)
            elif isinstance(node, OtherNode):
                yield before + _stray(node)
            elif not node.children:
                yield f"{before}<{node.tag}{_attributes(node.attributes)}{end}"
            else:
                yield f"{before}<{node.tag}{_attributes(node.attributes)}>"
                mixed = any(isinstance(child, OtherNode) and child.kind == "text" for child in node.children)
                line = "\n" + _INDENT * (len(levels) - 1)
                inner, closing = ("", "") if mixed else (line + _INDENT, line)
                levels.append((iter(node.children), inner, f"{closing}</{node.tag}>"))
                break
        else:
            levels.pop()
            yield behind


def _attributes(attributes: dict[str, str]) -> str:
    return "".join([f' {name}="{escaped(value)}"' for name, value in attributes.items()])


def _stray(stray: OtherNode) -> str:
    if stray.kind == "comment":
        return f"<!--{stray.text}-->"
    if stray.kind == "instruction":
        return f"<?{stray.text}?>"
    return stray.text.translate(_TEXT_ESCAPES)
