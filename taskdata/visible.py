"""Text that is shown: what would steer a terminal, forge a line or turn a text about is shown as an escape instead.

Names, columns and paths come from somebody else's machine. A control character in one (C0, DEL or C1 of ISO/IEC 6429,
among them the first of every escape sequence) can move the cursor, rename the window or hide what was printed before; a
line separator can forge a line; a bidirectional mark, embedding, override or isolate (Unicode Standard Annex 9) shows a
text in another order than it has.
"""

from __future__ import annotations

import re

DIRECTIONS = "\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"
"""The bidirectional marks, embeddings, overrides and isolates."""

_UNSAFE = rf"\x7f-\x9f\u2028\u2029{DIRECTIONS}"
_IN_LINE = re.compile(rf"[\x00-\x1f{_UNSAFE}\ud800-\udfff]")
_IN_TEXT = re.compile(rf"[\x00-\x08\x0b-\x1f{_UNSAFE}]")
_IN_JSON = re.compile(rf"[{_UNSAFE}\ud800-\udfff]")


def visible(text: str) -> str:
    r"""Return one line of text with an escape for each character that is not safe to show.

    >>> visible("Oak\x1b[2Jfield\n")
    'Oak\\x1b[2Jfield\\n'
    """
    return _IN_LINE.sub(_escape, text)


def visible_lines(text: str) -> str:
    """Return several lines, which may be indented by tabs, in the same way; their ends stay."""
    return "\n".join(visible(line).replace("\\t", "\t") for line in text.split("\n"))


def visible_json(text: str) -> str:
    """Return JSON that means the same, with escapes for characters that are not safe to show.

    They can stand in its strings alone; those of C0 are escaped there anyway.
    """
    return _IN_JSON.sub(lambda found: f"\\u{ord(found[0]):04x}", text)


def visible_xml(text: str) -> str:
    """Return XML that means the same, with a reference for each character that is not safe to show.

    It is meant for the contents of elements and attributes.
    """
    return _IN_TEXT.sub(lambda found: f"&#{ord(found[0])};", text)


def _escape(found: re.Match[str]) -> str:
    return {"\n": "\\n", "\r": "\\r", "\t": "\\t"}.get(found[0]) or found[0].encode(
        "unicode_escape", "surrogatepass"
    ).decode("ascii")
