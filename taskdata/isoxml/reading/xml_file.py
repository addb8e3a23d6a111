"""The bytes of one XML file to its tree, also where they are not what the file says."""

from __future__ import annotations

import codecs
import io
import re
from collections import Counter
from dataclasses import replace

from taskdata.errors import SourceError
from taskdata.findings import Finding, Place, Unread
from taskdata.isoxml.facts import elements
from taskdata.isoxml.files.blob import Blob
from taskdata.isoxml.reading.builder import ParsedXml
from taskdata.isoxml.reading.mending import MENDED, mended
from taskdata.isoxml.reading.parse import IllFormedError, parse_xml
from taskdata.isoxml.reading.rescue import Rescued, rescued
from taskdata.isoxml.tree.document import XmlFile
from taskdata.isoxml.tree.element import Element
from taskdata.isoxml.tree.filenames import FILE_ROLES
from taskdata.raised_rules.file.byte_order_mark import RULE as BYTE_ORDER_MARK
from taskdata.raised_rules.file.cut_off import RULE as CUT_OFF
from taskdata.raised_rules.file.not_utf_8 import RULE as NOT_UTF8
from taskdata.raised_rules.file.other_encoding import RULE as OTHER_ENCODING

_HEAD = 1 << 16
_DECLARED = re.compile(rb"""(?:\xef\xbb\xbf)?<\?xml[^>]*?encoding\s*=\s*["']([A-Za-z0-9._-]+)""")


def read_xml_file(blob: Blob, role: str, *, rescue: bool = False) -> tuple[XmlFile, list[Finding]]:
    """Read one XML file of a set.

    Parameters
    ----------
    blob : Blob
        The file.
    role : str
        What the file is in its set, see ``XmlFile``.
    rescue : bool
        Read what stands before the place where the file is cut off or damaged, and say so.

    Returns
    -------
    XmlFile, list of Finding
        The file, and what is wrong with its bytes.

    Raises
    ------
    SourceError
        It cannot be parsed, or its bytes cannot be had.
    """
    size = blob.size
    try:
        parsed, blob, guessed, findings = _parse(blob)
    except IllFormedError:
        saved = _rescued(blob) if rescue else None
        if saved is None:
            raise
        blob = Blob.of(blob.name, saved.content)
        parsed, blob, guessed, findings = _parse(blob)
        findings.append(_cut_off(blob.name, role, parsed, saved))
    with blob.opener() as stream:
        head = stream.read(_HEAD)
    mark = head.startswith(codecs.BOM_UTF8)
    file = XmlFile(
        name=blob.name,
        role=role,
        root=parsed.root,
        encoding=parsed.encoding,
        declared=parsed.declared,
        mark=mark,
        spaced=b" " in head[max(0, head.find(b"/>") - 1) :][:1],
        guessed=guessed,
        before=parsed.before,
        after=parsed.after,
        blob=blob,
        size=size,
        mended=tuple(item.rule.id for item in findings if item.rule in MENDED),
    )
    if mark:
        findings.append(BYTE_ORDER_MARK.at(Place(file=blob.name), file=blob.name))
    if file.encoding is not None and file.encoding.upper() not in {"UTF-8", "UTF8", "US-ASCII", "ASCII"}:
        place = Place(file=blob.name, line=1)
        findings.append(OTHER_ENCODING.at(place, file=blob.name, encoding=file.encoding))
    return file, findings


def _parse(blob: Blob) -> tuple[ParsedXml, Blob, str | None, list[Finding]]:
    """Parse a file; where its bytes are not what it says, read them in another encoding and say so."""
    try:
        with blob.opener() as stream:
            return parse_xml(stream, blob.name, size=blob.size), blob, None, []
    except SourceError:
        content, mends = mended(blob.read(), blob.name)
        if mends and (parsed := _parsed_again(content, blob.name)) is not None:
            return parsed, Blob.of(blob.name, content), None, mends
        text = _in_declared_encoding(content)
        at = _first_bad_byte(content) if text is None else None
        if text is None and at is None:
            raise
    guess = None
    if text is None:
        guess, text = _guessed(content)
    repaired = Blob.of(blob.name, text.encode())
    with repaired.opener() as stream:
        parsed = parse_xml(stream, blob.name, "utf-8")
    if guess is None:
        return parsed, repaired, None, mends
    place = Place(file=blob.name, offset=at)
    return parsed, repaired, guess, [*mends, NOT_UTF8.at(place, file=blob.name, at=at, guess=guess)]


def _parsed_again(content: bytes, name: str) -> ParsedXml | None:
    try:
        return parse_xml(io.BytesIO(content), name)
    except SourceError:
        return None


def _rescued(blob: Blob) -> Rescued | None:
    content = blob.read()
    if content[:2] in {codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE}:
        return rescued(content.decode("utf-16", errors="ignore").encode(), "utf-8")
    found = rescued(content)
    return found or rescued(_guessed(content)[1].encode(), "utf-8")


def _cut_off(name: str, role: str, parsed: ParsedXml, saved: Rescued) -> Finding:
    """Return what to say of a file of which only the beginning was read."""
    counts = Counter(child.tag for child in parsed.root.children if isinstance(child, Element))
    known = elements()
    held = ", ".join(f"{known[tag].name if tag in known else tag} {count}" for tag, count in counts.items())
    what = f"{held or 'nothing but the root'}{f'; {saved.incomplete} is incomplete' if saved.incomplete else ''}"
    place = Place(file=name, line=saved.line, element=saved.incomplete)
    line, reason, octets, size = saved.line, saved.reason, saved.octets, saved.size
    found = CUT_OFF.at(place, file=name, line=line, reason=reason, octets=octets, size=size, what=what)
    why = f"is cut off or damaged at line {line}: the first {octets} of its {size} bytes were read ({what})"
    return replace(found, unread=Unread(name, FILE_ROLES[role], why))


def _in_declared_encoding(content: bytes) -> str | None:
    """Return the text of a file in an encoding that the parser does not know, or whose declaration cannot be true."""
    declared = _DECLARED.match(content)
    if declared is None or declared[1].upper() in {b"UTF-8", b"UTF8"}:
        return None
    for encoding in (declared[1].decode(), "utf-8-sig"):
        try:
            text = content.decode(encoding)
        except (LookupError, ValueError):
            continue
        if text.startswith("<"):
            return text
    return None


def _first_bad_byte(content: bytes) -> int | None:
    """Offset of the first byte that is not UTF-8; None if all are, and in UTF-16."""
    if content[:2] in {codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE}:
        return None
    try:
        content.decode()
    except UnicodeDecodeError as error:
        return error.start if error.end < len(content) else None  # a letter that was cut through at the end is none
    return None


def _guessed(content: bytes) -> tuple[str, str]:
    """Return the likeliest encoding of bytes that are not UTF-8, and the text; a byte order mark stays one."""
    mark = "\ufeff" if content.startswith(codecs.BOM_UTF8) else ""
    rest = content.removeprefix(codecs.BOM_UTF8)
    try:
        return "windows-1252", mark + rest.decode("cp1252")
    except UnicodeDecodeError:
        return "ISO-8859-1", mark + rest.decode("latin-1")
