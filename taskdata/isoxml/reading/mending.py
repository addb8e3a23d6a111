"""Bytes of an XML file that no parser accepts and that can mean one thing only: zeros behind the end, a bare ``&``."""

from __future__ import annotations

import codecs
import re

from taskdata.findings import Finding, Place
from taskdata.raised_rules.file.bare_ampersand import RULE as BARE_AMPERSAND
from taskdata.raised_rules.file.zeros_behind_end import RULE as ZEROS_BEHIND_END

MENDED = (ZEROS_BEHIND_END, BARE_AMPERSAND)

_BLANKS = b" \t\r\n"
_AMPERSAND = re.compile(
    rb"<!--.*?-->|<!\[CDATA\[.*?\]\]>|<\?.*?\?>|(?P<bare>&)(?!#[0-9]+;|#x[0-9A-Fa-f]+;|[A-Za-z_][\w.-]*;)", re.DOTALL
)
_TAG = re.compile(rb"<([A-Za-z_][\w.-]*)")


def mended(content: bytes, name: str) -> tuple[bytes, list[Finding]]:
    """Return the bytes of a file that could not be parsed as they are meant, and what was wrong; nothing found = as is.

    An ``&`` that begins the name of an entity which XML does not know is left: what it stands for is not in the file.
    """
    if content[:2] in {codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE}:
        return content, []
    findings = []
    whole = content.rstrip(_BLANKS + b"\0")
    zeros = content.count(b"\0", len(whole))
    if zeros:
        place = Place(file=name, offset=len(whole))
        findings.append(ZEROS_BEHIND_END.at(place, file=name, octets=zeros))
        content = whole + b"\n"
    bare = [found.start() for found in _AMPERSAND.finditer(content) if found["bare"]]
    if bare:
        findings.append(_bare(content, name, bare))
        content = _AMPERSAND.sub(lambda found: b"&amp;" if found["bare"] else found[0], content)
    return content, findings


def _bare(content: bytes, name: str, at: list[int]) -> Finding:
    """Return the finding of the first bare ``&``, with its line, the element that it stands in and the text around."""
    first = at[0]
    start = content.rfind(b"<", 0, first)
    tag = _TAG.match(content, max(0, start))
    line = content.count(b"\n", 0, first) + 1
    quote = max(content.rfind(b'"', 0, first), content.rfind(b"'", 0, first), start)
    ends = [end for mark in (b'"', b"'", b"<", b"\n") if (end := content.find(mark, first)) >= 0]
    text = content[quote + 1 : min(ends, default=len(content))][:60].decode("utf-8", errors="replace")
    label = "the file" if tag is None else tag[1].decode()
    return BARE_AMPERSAND.at(Place(file=name, line=line), file=name, tag=label, line=line, text=text, count=len(at))
