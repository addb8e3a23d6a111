"""Copies: files that hold the same, byte for byte."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from taskdata.exchange.found.contents import digest_of
from taskdata.exchange.found.things import Thing
from taskdata.isoxml.files.archives import ArchiveFolder

_DATE = r"(?:19|20)\d\d[-_. ]?(?:0[1-9]|1[0-2])[-_. ]?(?:0[1-9]|[12]\d|3[01])(?:[-_. T]?\d{4}(?:\d\d)?)?"
_DAY_FIRST = r"(?:0?[1-9]|[12]\d|3[01])[-_.](?:0?[1-9]|1[0-2])[-_.](?:19|20)\d\d"
_YEAR = r"(?:19|20)\d\d"
_WORDS = (
    r"\((?:\d{1,2})\)|copy(?: of)?|kopie(?: von)?|copie(?: de)?|copia(?: de)?|backup|bak|old|alt|save[ds]?|sicherung"
)
_MARKS = re.compile(
    rf"(?<![a-z0-9])(?P<date>{_DATE}|{_DAY_FIRST}|{_YEAR})(?!\d)|(?<![a-z])(?:{_WORDS})(?![a-z])", re.IGNORECASE
)
_SIGNS = re.compile(r"[\s_\-.()~]+")


def identical(things: Sequence[Thing]) -> dict[str, str]:
    """Return the path of each thing that is a copy, byte for byte, with the path of what it is a copy of.

    Only things of one size are looked at. The one without a mark of a copy in its path counts as the original, outside
    an archive before inside one, then the shortest path.
    """
    sizes: dict[tuple[int, int], list[Thing]] = {}
    for thing in things:
        sizes.setdefault((len(thing.files), thing.size), []).append(thing)
    return {copy: original for alike in sizes.values() if len(alike) > 1 for copy, original in _same(alike)}


def _same(things: Sequence[Thing]) -> Iterator[tuple[str, str]]:
    digests: dict[str, list[Thing]] = {}
    for thing in things:
        digest = digest_of(thing.folder, thing.files)
        if digest is not None:
            digests.setdefault(f"{digest} {thing.kind}", []).append(thing)
    for alike in digests.values():
        first, *others = sorted(alike, key=_rank)
        yield from ((item.path, first.path) for item in others)


def _rank(thing: Thing) -> tuple[bool, bool, int, str]:
    return has_marks(thing.path), isinstance(thing.folder, ArchiveFolder), len(thing.path), thing.path


def without_marks(path: str) -> str:
    """Return a path without dates, marks of copies and signs, so that dated copies are called the same."""
    parts = (_SIGNS.sub("", _MARKS.sub("", part)).casefold() for part in path.split("/"))
    return "/".join(filter(None, parts))


def has_marks(path: str) -> bool:
    """Tell whether a date or a mark of a copy stands in a path."""
    return _MARKS.search(path) is not None


def date_in(path: str) -> str:
    """Return the last date in a path as digits, year first; empty without one."""
    found = [match["date"] for match in _MARKS.finditer(path) if match["date"]]
    if not found:
        return ""
    digits = re.findall(r"\d+", found[-1])
    return "".join(digits) if len(digits[0]) >= 4 else "".join(part.zfill(2) for part in reversed(digits))
