"""The files of a shapefile, looked at byte by byte: whether they are whole, and whether they fit each other.

GDAL takes an index at its word, so that a damaged one gives rows the shapes of others, and says nothing of rows that
the table lacks or marks as deleted.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from taskdata.errors import SourceError
from taskdata.file_formats.contents import SHAPEFILE_CODE
from taskdata.findings import Finding, Place
from taskdata.raised_rules.import_.cut_off import RULE as CUT_OFF
from taskdata.raised_rules.import_.index_unfit import RULE as INDEX_UNFIT
from taskdata.raised_rules.import_.rows_deleted import RULE as ROWS_DELETED
from taskdata.raised_rules.import_.rows_unequal import RULE as ROWS_UNEQUAL

MAIN = ".shp"
_INDEX, _TABLE = ".shx", ".dbf"
_HEADER = 100
_DELETED = ord("*")


def check_header(path: Path) -> None:
    """Raise where the main file has no header.

    Raises
    ------
    SourceError
    """
    with path.open("rb") as file:
        head = file.read(_HEADER)
    why = None
    if len(head) < _HEADER:
        why = f"it has {len(head)} bytes, fewer than the header of a shapefile"
    elif int.from_bytes(head[:4], "big") != SHAPEFILE_CODE:
        why = f"it does not begin with the file code {SHAPEFILE_CODE}"
    if why:
        raise SourceError("The shapefile cannot be read", where=path, why=why, remedy="Copy all its files again.")


def cut_off(beside: Mapping[str, Path]) -> list[Finding]:
    """Return a finding for each file that is shorter than its header says."""
    found = []
    for path in beside.values():
        size, stated = path.stat().st_size, _stated_size(path)
        if stated > size:
            found.append(CUT_OFF.at(Place(file=path.name), file=path.name, size=size, stated=stated))
    return found


def fitting(path: Path, beside: dict[str, Path]) -> list[Finding]:
    """Take an index that does not fit its main file out of ``beside`` if it can be rebuilt; return what is to tell."""
    index = beside.get(_INDEX)
    if index is None:
        return []
    if index.read_bytes()[:4] != SHAPEFILE_CODE.to_bytes(4, "big"):
        del beside[_INDEX]
        return []
    main = np.fromfile(path, dtype=np.uint8)
    if _fits(main, _entries(index)):
        return []
    rebuilt = _in_order(main)
    if rebuilt:
        del beside[_INDEX]
    result = "it was rebuilt for reading" if rebuilt else "rows may have the wrong shapes, or none"
    return [INDEX_UNFIT.at(Place(file=index.name), file=index.name, layer=path.name, taken=result)]


def table_findings(path: Path, beside: Mapping[str, Path]) -> list[Finding]:
    """Return what the table says of rows that are not read: deleted ones, and shapes that it has no row for."""
    table, index = beside.get(_TABLE), beside.get(_INDEX)
    head = b"" if table is None else table.read_bytes()
    if len(head) < 12 or table is None:
        return []
    count, start, width = (int.from_bytes(head[at:end], "little") for at, end in ((4, 8), (8, 10), (10, 12)))
    found = []
    place = Place(file=table.name)
    flags = np.frombuffer(head, np.uint8)[start::width][:count] if width and start else np.empty(0, np.uint8)
    deleted = (np.flatnonzero(flags == _DELETED) + 1).tolist()
    if deleted:
        rows = ", ".join(map(str, deleted[:10])) + (" and more" if len(deleted) > 10 else "")
        found.append(ROWS_DELETED.at(place, count=len(deleted), rows=rows, layer=path.name, file=table.name))
    shapes = len(_entries(index)) if index is not None else _count(np.fromfile(path, dtype=np.uint8))
    if shapes != count:
        found.append(ROWS_UNEQUAL.at(place, layer=path.name, count=shapes, file=table.name, total=count))
    return found


def _stated_size(path: Path) -> int:
    """Return how many bytes the header of a .shp or .dbf states, 0 for other files and where there is no header."""
    with path.open("rb") as file:
        head = file.read(_HEADER)
    kind = path.suffix.lower()
    if kind == MAIN and len(head) == _HEADER:
        return 2 * int.from_bytes(head[24:28], "big")
    if kind == _TABLE and len(head) >= 12:
        records, start, width = (int.from_bytes(head[at:end], "little") for at, end in ((4, 8), (8, 10), (10, 12)))
        return start + records * width
    return 0


def _entries(index: Path) -> NDArray[np.int64]:
    """Return offset and length of each record in bytes, (n, 2), as an index has them."""
    content = index.read_bytes()[_HEADER:]
    whole = len(content) // 8 * 8
    return 2 * np.frombuffer(content[:whole], ">i4").reshape(-1, 2).astype(np.int64)


def _fits(main: NDArray[np.uint8], entries: NDArray[np.int64]) -> bool:
    """Return whether each entry points at the record of its number and length, and no record comes after the last.

    Numbers may begin at 0, against the description, as those of some programs do (common practice).
    """
    if not len(entries):
        return len(main) <= _HEADER
    offsets, lengths = entries.T
    if (offsets + 8 + lengths).max() < len(main) and _count(main) > len(entries):
        return False
    if (offsets < _HEADER).any() or (offsets + 8 + lengths > len(main)).any():
        return False
    heads = main[offsets[:, None] + np.arange(8)].copy().view(">i4").astype(np.int64)
    numbers = heads[:, 0] - np.arange(len(entries))
    return bool((numbers == numbers[0]).all() and numbers[0] in (0, 1) and (2 * heads[:, 1] == lengths).all())


def _in_order(main: NDArray[np.uint8]) -> bool:
    """Return whether the records of a main file follow each other by number to its end."""
    numbers = _numbers(main) or []
    return bool(numbers) and numbers == list(range(numbers[0], numbers[0] + len(numbers)))


def _count(main: NDArray[np.uint8]) -> int:
    return len(_numbers(main) or ())


def _numbers(main: NDArray[np.uint8]) -> list[int] | None:
    """Return the numbers of the records that follow each other in a main file, None where they do not reach its end."""
    data: Any = main.tobytes()
    at, numbers = _HEADER, []
    while at + 8 <= len(data):
        numbers.append(int.from_bytes(data[at : at + 4], "big", signed=True))
        length = 2 * int.from_bytes(data[at + 4 : at + 8], "big", signed=True)
        if length < 4:
            return None
        at += 8 + length
    return numbers if at == len(data) else None
