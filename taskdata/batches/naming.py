"""Names of results: a readable part of the path of the source, and a digest of all of it."""

from __future__ import annotations

import hashlib
import posixpath
import re

_READABLE = 23
_DIGITS = 16
"""64 bits: among a million sources two have the same with a probability of 3e-8, and then the later is refused."""


def result_name(source: str) -> str:
    """Return the name of the result of a source; it depends on the path of the source and on nothing else.

    Parameters
    ----------
    source : str
        Its path or URL as the caller named it.
    """
    path = source.replace("\\", "/")
    scheme, sign, rest = path.rpartition("://")
    path = f"{scheme}{sign}{posixpath.normpath(rest)}"
    parts = [part for part in rest.split("/") if part.upper() not in {"TASKDATA", "TASKDATA.XML", "", ".", ".."}]
    words = ""
    for part in reversed([re.sub(r"[^\w]+", "-", item, flags=re.ASCII).strip("-_").lower() for item in parts]):
        if words and len(part) + 1 + len(words) > _READABLE:
            break
        words = "-".join(filter(None, (part, words)))[:_READABLE].strip("-_")
    digest = hashlib.sha256(path.encode("utf-8", "surrogatepass")).hexdigest()[:_DIGITS]
    return f"{words or 'set'}-{digest}"
