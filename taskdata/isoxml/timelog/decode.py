"""From the bytes of a time log to its columns, as fast as numpy allows and without ever failing."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

import numpy as np
from numpy.typing import NDArray

from taskdata.isoxml.binary.flat_bytes import Data, Octets, octets_of
from taskdata.isoxml.timelog.faults import no_count_fault, trailing_fault, unlisted, unlisted_fault
from taskdata.isoxml.timelog.layout import COUNT, INDEX, VALUE, Layout, pair_dtype
from taskdata.isoxml.timelog.log import Rows, TimeLog
from taskdata.isoxml.timelog.padding import without_padding
from taskdata.isoxml.timelog.walk import PAIR, Mixed, Run, Stretch, stretches

GATHER = 1 << 15
STRIDED = 128


def decode(data: Data, layout: Layout, *, file: str | None = None) -> TimeLog:
    """Return the log that ``data`` holds.

    Damaged data never raise: whole records are returned, the rest is kept as ``trailing``, faults are findings.

    Parameters
    ----------
    data : bytes-like or array of bytes, numpy.memmap included
        The whole binary file.
    layout : Layout
        From the header.
    file : str, optional
        Name of the file, for findings.

    Notes
    -----
    When the header lists no values, the count byte is still expected (judged). If the file then does not consist of
    whole records without values, but does so without the byte, it is read without, with a finding.
    """
    octets = octets_of(data)
    found, end = _records(octets, layout)
    findings = []
    if layout.counted and not layout.values and _uncounted(octets, found, end, layout):
        layout = layout.uncounted()
        found, end = _records(octets, layout)
        length = layout.dtype.itemsize
        findings.append(no_count_fault(file, octets.size // length, length))
    found, end = without_padding(octets, found, end, layout)
    rows, index, value = _gather(octets, found, end, layout)
    trailing = octets[end:].tobytes()
    alike = set(trailing) in ({0x00}, {0xFF})
    findings += trailing_fault(len(trailing), rows.size, end, file, alike=alike)
    log = TimeLog(layout, rows, index, value, trailing)
    findings += unlisted_fault(unlisted(log), len(layout.values), file)
    return TimeLog(layout, rows, index, value, trailing, tuple(findings))


def decoded(octets: Octets, layout: Layout) -> tuple[TimeLog, int]:
    """Return the whole records at the beginning of some bytes, padding taken for records too, and where they end."""
    found, end = _records(octets, layout)
    return TimeLog(layout, *_gather(octets, found, end, layout)), end


def _records(octets: Octets, layout: Layout) -> tuple[list[Stretch], int]:
    head = layout.dtype.itemsize
    if layout.counted:
        return stretches(octets, head)
    records = octets.size // head
    return [Run(0, records, 0)] if records else [], records * head


def _uncounted(octets: Octets, found: list[Stretch], end: int, layout: Layout) -> bool:
    length = layout.uncounted().dtype.itemsize
    sensible = end == octets.size and all(isinstance(stretch, Run) and stretch.values == 0 for stretch in found)
    return not sensible and length > 0 and octets.size % length == 0


def _gather(
    octets: Octets, found: list[Stretch], end: int, layout: Layout
) -> tuple[Rows, NDArray[np.uint8], NDArray[np.int32]]:
    """Copy the fixed parts and the values of all records out of the file."""
    dtype = layout.dtype
    records = sum(stretch.records for stretch in found)
    values = (end - records * dtype.itemsize) // PAIR
    rows = np.empty(records, dtype=f"V{dtype.itemsize}")  # fields are copied one by one, records as a whole
    index, value = np.empty(values, dtype=np.uint8), np.empty(values, dtype=np.int32)
    row = pair = 0
    for piece in _pieces(found, dtype.itemsize):
        heads, pairs = _strided(octets, piece, dtype) if isinstance(piece, Run) else _picked(octets, piece, dtype)
        rows[row : row + heads.size] = heads
        if pairs.size:
            index[pair : pair + pairs.size].reshape(pairs.shape)[:] = pairs[INDEX]
            value[pair : pair + pairs.size].reshape(pairs.shape)[:] = pairs[VALUE]
        row, pair = row + heads.size, pair + pairs.size
    return rows.view(dtype), index, value


def _pieces(found: Iterable[Stretch], head: int) -> Iterator[Stretch]:
    """Yield pieces that fit the processor's cache: long runs as runs, everything else by offsets."""
    waiting: list[NDArray[np.int64]] = []
    size = 0
    for stretch in found:
        step = head + PAIR * stretch.values if isinstance(stretch, Run) else 0
        if isinstance(stretch, Run) and stretch.records >= STRIDED:
            yield from _mixed(waiting)
            waiting, size = [], 0
            for first in range(0, stretch.records, GATHER):
                records = min(GATHER, stretch.records - first)
                yield Run(stretch.start + first * step, records, stretch.values)
            continue
        if isinstance(stretch, Run):
            waiting.append(stretch.start + step * np.arange(stretch.records, dtype=np.int64))
        else:
            waiting.append(stretch.offsets)
        size += stretch.records
        if size >= GATHER:
            yield from _mixed(waiting)
            waiting, size = [], 0
    yield from _mixed(waiting)


def _mixed(waiting: list[NDArray[np.int64]]) -> Iterator[Mixed]:
    offsets = np.concatenate(waiting) if waiting else np.zeros(0, dtype=np.int64)
    for first in range(0, offsets.size, GATHER):
        yield Mixed(offsets[first : first + GATHER])


def _strided(octets: Octets, run: Run, dtype: np.dtype[np.void]) -> tuple[Rows, Rows]:
    """Return views of the fixed parts (records,) and the pairs (records, values) of a run."""
    step = dtype.itemsize + PAIR * run.values
    heads: Rows = np.ndarray((run.records,), f"V{dtype.itemsize}", buffer=octets, offset=run.start, strides=(step,))
    if run.values == 0:
        return heads, np.zeros(0, dtype=pair_dtype())
    offset = run.start + dtype.itemsize
    pairs: Rows = np.ndarray(
        (run.records, run.values), pair_dtype(), buffer=octets, offset=offset, strides=(step, PAIR)
    )
    return heads, pairs


def _picked(octets: Octets, piece: Mixed, dtype: np.dtype[np.void]) -> tuple[Rows, Rows]:
    """Return copies of the fixed parts (records,) and the pairs (values,) of records that follow one another."""
    head = dtype.itemsize
    heads = _windows(octets, head)[piece.offsets]
    nothing: Rows = np.zeros(0, dtype=pair_dtype())
    if COUNT not in (dtype.names or ()):
        return heads, nothing
    first, last = int(piece.offsets[0]), int(piece.offsets[-1])
    stretch = octets[first : last + head + PAIR * int(heads[-1:].view(dtype)[COUNT][0])]
    of_values = np.ones(stretch.size, dtype=np.bool_)
    _windows(of_values.view(np.uint8), head)[piece.offsets - first] = np.zeros((), dtype=f"V{head}")
    return heads, stretch[of_values].view(pair_dtype())


def _windows(octets: Octets, width: int) -> NDArray[np.void]:
    """Return a view that holds the ``width`` bytes from every offset on."""
    return np.ndarray((octets.size - width + 1,), f"V{width}", buffer=octets, strides=(1,))
