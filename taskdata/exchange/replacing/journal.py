"""Whether the file where the journal of a cleaning is to stand is one."""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path

from taskdata.staging import regular_file

_JOURNAL = {"source", "target", "changes", "left", "before", "after"}


def foreign_journal(place: Path, _: Path) -> Sequence[str]:
    """Return a file unless it is the journal of a cleaning."""
    if regular_file(place, place):
        return (place.name,)
    try:
        page = json.loads(place.read_text(encoding="utf-8"))
    except (OSError, ValueError, RecursionError):
        return (place.name,)
    return () if isinstance(page, dict) and set(page) >= _JOURNAL else (place.name,)
