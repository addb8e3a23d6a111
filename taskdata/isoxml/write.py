"""A document to files: the same files, the same content, names in capitals, UTF-8."""

from __future__ import annotations

import shutil
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import BinaryIO

from taskdata.isoxml.document import Document, XmlFile
from taskdata.isoxml.element import POINT, Element, Node, PointRun, Stray
from taskdata.isoxml.source import FOLDER, Blob
from taskdata.ledger import Loss, LossKind

DECLARATION = '<?xml version="1.0" encoding="UTF-8"?>\n'
_INDENT = "  "
_ESCAPES = str.maketrans(
    {"&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;", "\t": "&#9;", "\n": "&#10;", "\r": "&#13;"}
)
_TEXT_ESCAPES = str.maketrans({"&": "&amp;", "<": "&lt;", ">": "&gt;", "\r": "&#13;"})
_ZIP_DATE = (1980, 1, 1, 0, 0, 0)
_MEMBER_MODE = 0o644 << 16


def write_folder(document: Document, folder: Path) -> None:
    """Write every file of the set into ``folder``, which is made and must not exist."""
    folder.mkdir()
    for name, blob in _files(document):
        with (folder / name).open("wb") as stream:
            _write(blob, stream)


def write_zip(document: Document, path: Path) -> None:
    """Write the set into the folder ``TASKDATA`` of a new archive at ``path``."""
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, blob in _files(document):
            member = zipfile.ZipInfo(f"{FOLDER}/{name}", _ZIP_DATE)
            member.compress_type = zipfile.ZIP_DEFLATED
            member.external_attr = _MEMBER_MODE
            with archive.open(member, "w", force_zip64=True) as stream:
                _write(blob, stream)  # type: ignore[arg-type]  # a writable binary stream, typed as IO[bytes]


def xml_bytes(file: XmlFile) -> bytes:
    """Return the bytes of one XML file, UTF-8 with declaration."""
    return "".join(xml_text(file)).encode()


def xml_text(file: XmlFile) -> Iterator[str]:
    """Yield the text of one XML file piece by piece."""
    yield ("\ufeff" if file.mark else "") + DECLARATION
    for stray in file.before:
        yield _stray(stray) + "\n"
    yield from _element(file.root, "", "\n")
    yield "\n"
    for stray in file.after:
        yield _stray(stray) + "\n"


def writing_changes(document: Document) -> list[Loss]:
    """Return what writing this document changes without being asked: file names and encodings."""
    losses = []
    for file in document.xml_files:
        if file.guessed or (file.encoding or "UTF-8").upper() not in {"UTF-8", "UTF8", "US-ASCII", "ASCII"}:
            told = f"encoding of {file.name}: {file.guessed or file.encoding} becomes UTF-8"
            why = "task data is UTF-8" + ("; the letters were guessed" if file.guessed else "")
            losses.append(Loss(LossKind.CHANGED, None, told, why))
    names = [file.name for file in document.xml_files] + [blob.name for blob in document.others.values()]
    for name in names:
        if name != name.upper() and _written_name(document, name) != name:
            losses.append(
                Loss(LossKind.CHANGED, None, f"file name {name} becomes {name.upper()}", "names are capitals")
            )
    return losses


def _files(document: Document) -> Iterator[tuple[str, XmlFile | Blob]]:
    for file in document.xml_files:
        yield file.name.upper(), file
    for blob in document.others.values():
        yield _written_name(document, blob.name), blob


def _written_name(document: Document, name: str) -> str:
    """Name to write a file under: capitals, unless another file has that name already."""
    upper = name.upper()
    first = document.others.get(upper)
    return name if first is not None and first.name != name else upper


def _write(content: XmlFile | Blob, stream: BinaryIO) -> None:
    if isinstance(content, Blob):
        with content.opener() as source:
            shutil.copyfileobj(source, stream)
        return
    for piece in xml_text(content):
        stream.write(piece.encode())


def _element(element: Element, indent: str, newline: str) -> Iterator[str]:
    """Yield an element; ``newline`` is empty where white space would join a text."""
    head = f"<{element.tag}{_attributes(element.attributes)}"
    if not element.children:
        yield f"{head}/>"
        return
    yield f"{head}>"
    mixed = any(isinstance(child, Stray) and child.kind == "text" for child in element.children)
    inner = "" if mixed else f"{newline or chr(10)}{indent}{_INDENT}"
    for child in element.children:
        yield from _node(child, indent + _INDENT, inner)
    yield f"</{element.tag}>" if mixed else f"\n{indent}</{element.tag}>"


def _node(node: Node, indent: str, inner: str) -> Iterator[str]:
    if isinstance(node, Stray):
        yield inner + _stray(node)
    elif isinstance(node, PointRun):
        yield _points(node, inner)
    else:
        yield inner
        yield from _element(node, indent, "\n")


def _points(run: PointRun, inner: str) -> str:
    pattern = "".join(f' {name}="{{}}"' for name in run.names)
    columns = [_escaped(run.texts(name)) for name in run.names]
    return "".join(f"{inner}<{POINT}{pattern.format(*row)}/>" for row in zip(*columns, strict=True))


def _escaped(texts: list[str]) -> list[str]:
    joined = "".join(texts)
    return [text.translate(_ESCAPES) for text in texts] if joined.translate(_ESCAPES) != joined else texts


def _attributes(attributes: dict[str, str]) -> str:
    return "".join(f' {name}="{value.translate(_ESCAPES)}"' for name, value in attributes.items())


def _stray(stray: Stray) -> str:
    if stray.kind == "comment":
        return f"<!--{stray.text}-->"
    if stray.kind == "instruction":
        return f"<?{stray.text}?>"
    return stray.text.translate(_TEXT_ESCAPES)
