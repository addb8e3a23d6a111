"""How a page or picture is known as one of this program, which it alone may replace."""

from __future__ import annotations

import os
from collections.abc import Sequence
from pathlib import Path

from taskdata.staging import regular_file

MARK = "<!-- made by taskdata -->\n"
"""What each ends with: a comment in HTML and in SVG."""


def foreign_page(place: Path, _: Path) -> Sequence[str]:
    """Return the name of a file that is no page or picture of this program, as ``staged`` asks for it."""
    if regular_file(place, place):
        return (place.name,)
    mark = MARK.encode()
    try:
        with place.open("rb") as file:
            file.seek(max(file.seek(0, os.SEEK_END) - len(mark), 0))
            return () if file.read() == mark else (place.name,)
    except OSError:
        return (place.name,)
