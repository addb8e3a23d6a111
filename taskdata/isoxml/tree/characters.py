"""What may stand in an XML file: names and texts that come from elsewhere are asked here before they are written."""

from __future__ import annotations

import re
from functools import lru_cache
from xml.parsers import expat

_ILLEGAL = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")
_INSTRUCTION = re.compile(r"(?![Xx][Mm][Ll](\s|$))\S+( .*)?", re.DOTALL)


@lru_cache(maxsize=4096)
def is_name(text: str) -> bool:
    """Tell whether ``text`` may name an element or attribute, in the eyes of the parser that reads it back."""
    seen: list[str] = []
    parser = expat.ParserCreate()
    parser.ordered_attributes = True
    parser.StartElementHandler = lambda tag, attributes: seen.extend([tag, *attributes])
    try:
        parser.Parse(f"<{text}/>", True)
    except (expat.ExpatError, ValueError):
        return False
    return seen == [text]


def is_text(text: str) -> bool:
    """Tell whether every letter of ``text`` may stand in an XML file."""
    return _ILLEGAL.search(text) is None


def is_stray(kind: str, text: str) -> bool:
    """Tell whether ``text`` can be a text, comment or instruction; ``kind`` is that of ``element.Stray``."""
    if not is_text(text):
        return False
    if kind == "comment":
        return "--" not in text and not text.endswith("-") and "\r" not in text
    if kind == "instruction":
        target = _INSTRUCTION.fullmatch(text)
        return target is not None and "?>" not in text and "\r" not in text and is_name(text.split(" ", 1)[0])
    return kind == "text"
