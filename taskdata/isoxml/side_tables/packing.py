"""The files of a set that are not XML, compressed for the table that carries them; large ones wait on disk."""

from __future__ import annotations

import tempfile
import zlib
from collections.abc import Iterator, Sequence
from typing import IO, overload
from weakref import finalize

from taskdata import strict_json
from taskdata.dataclass import dataclass
from taskdata.isoxml.files.blob import Blob
from taskdata.isoxml.side_tables.rebuild import OTHER
from taskdata.model.carried import CarriedFile
from taskdata.progress import BYTES, stage

PART_SIZE = 16 << 20
IN_MEMORY = 64 << 20
"""Compressed bytes of one file, and of all of them, that are held in memory at most."""
LEVEL = 2
"""Of zlib: on logs it takes a quarter of the time of the usual level, and a sixteenth more room."""


@dataclass(frozen=True, eq=False)
class Packed:
    """One file, compressed: its name and full size, and a stream that holds so many compressed bytes."""

    name: str
    size: int
    stream: IO[bytes]
    length: int

    @property
    def parts(self) -> int:
        """How many parts it is carried in."""
        return -(-self.length // PART_SIZE)

    def part(self, number: int) -> CarriedFile:
        """Return a part, read from the stream."""
        self.stream.seek(number * PART_SIZE)
        facts = strict_json.dumps({"size": self.size}, compact=True)
        return CarriedFile(self.name, OTHER, number, facts, self.stream.read(PART_SIZE))


def packed_file(blob: Blob) -> Packed | None:
    """Return a file compressed, None where it cannot be read."""
    stream = tempfile.SpooledTemporaryFile(IN_MEMORY, prefix="taskdata-")  # noqa: SIM115  # closed with what reads it
    packer = zlib.compressobj(LEVEL)
    with stage("Compressing files", BYTES, blob.size) as advance:
        for piece in blob.pieces():
            stream.write(packer.compress(piece))
            advance(len(piece))
    stream.write(packer.flush())
    if blob.fault is not None:
        stream.close()
        return None
    found = Packed(blob.name, blob.size, stream, stream.tell())
    finalize(found, stream.close)
    return found


def carried_files(xml: tuple[CarriedFile, ...], packed: tuple[Packed, ...]) -> Sequence[CarriedFile]:
    """Return the rows of XML files, and those of the others: at once where all that is compressed is little."""
    if sum(item.length for item in packed) > IN_MEMORY:
        return WaitingFiles(xml, packed)
    return (*xml, *(item.part(number) for item in packed for number in range(item.parts)))


class WaitingFiles(Sequence[CarriedFile]):
    """Rows whose bytes are read when one asks for them."""

    def __init__(self, xml: tuple[CarriedFile, ...], packed: tuple[Packed, ...]) -> None:
        self._xml = xml
        self._parts = [(item, number) for item in packed for number in range(item.parts)]

    def __len__(self) -> int:
        return len(self._xml) + len(self._parts)

    def __iter__(self) -> Iterator[CarriedFile]:
        return (self[at] for at in range(len(self)))

    @overload
    def __getitem__(self, at: int) -> CarriedFile: ...
    @overload
    def __getitem__(self, at: slice) -> Sequence[CarriedFile]: ...
    def __getitem__(self, at: int | slice) -> CarriedFile | Sequence[CarriedFile]:
        if isinstance(at, slice):
            return tuple(self[number] for number in range(*at.indices(len(self))))
        if not -len(self) <= at < len(self):
            raise IndexError(at)
        at %= len(self)
        if at < len(self._xml):
            return self._xml[at]
        packed, number = self._parts[at - len(self._xml)]
        return packed.part(number)
