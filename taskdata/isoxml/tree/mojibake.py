"""Text that is UTF-8 and was read by a declaration of another encoding: two letters in place of one."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial

from taskdata.isoxml.tree.document import XmlFile
from taskdata.isoxml.tree.element import Element, OtherNode


def find_mojibake(file: XmlFile) -> tuple[str, str] | None:
    """Return the first text of a file that was read wrongly, and as what it is meant.

    None where no text has letters beyond ASCII, or where the bytes of one of them are not UTF-8: then the
    declaration is true. A whole file of text in another encoding is hardly ever UTF-8 by chance.
    """
    encoding = file.encoding
    if encoding is None or file.guessed is not None or not _adds_to_ascii(encoding):
        return None
    first = None
    for text in _texts(file):
        if text.isascii():
            continue
        meant = _meant(text, encoding)
        if meant is None:
            return None
        first = first or (text, meant)
    return first


def reread(file: XmlFile) -> None:
    """Read the text of a file that was misread as UTF-8, and declare that."""
    right = partial(as_meant, encoding=str(file.encoding))
    for stray in (*file.before, *file.after):
        stray.text = right(stray.text)
    for element in file.root.walk():
        _reread(element, right)
    file.encoding = "UTF-8"


def as_meant(piece: str, encoding: str) -> str:
    """Return text that was read by ``encoding`` as the UTF-8 that it is."""
    return piece if piece.isascii() else piece.encode(encoding).decode("utf-8")


def _reread(element: Element, right: Callable[[str], str]) -> None:
    element.tag = right(element.tag)
    element.attributes = {right(name): right(value) for name, value in element.attributes.items()}
    for child in element.children:
        if isinstance(child, OtherNode):
            child.text = right(child.text)


def _texts(file: XmlFile) -> Iterator[str]:
    """Yield every text of a file, the values first."""
    for element in file.root.walk():
        yield from element.attributes.values()
    for element in file.root.walk():
        yield from (element.tag, *element.attributes)
        yield from (child.text for child in element.children if isinstance(child, OtherNode))
    yield from (stray.text for stray in (*file.before, *file.after))


def _adds_to_ascii(encoding: str) -> bool:
    """Tell whether an encoding other than UTF-8 keeps ASCII as it is: in no other does UTF-8 look like text."""
    try:
        return "<".encode(encoding) == b"<" and "é".encode().decode(encoding, "replace") != "é"
    except (LookupError, ValueError):
        return False


def _meant(text: str, encoding: str) -> str | None:
    try:
        meant = as_meant(text, encoding)
        return None if meant.isascii() else meant
    except ValueError:
        return None
