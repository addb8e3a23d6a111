"""What an archive may unpack to, and what can be wrong with one: the limits that all archives share."""

from __future__ import annotations

import lzma
import struct
import zipfile
import zlib
from collections.abc import Sequence
from dataclasses import dataclass

from taskdata.errors import SourceError

MAX_MEMBERS = 100_000
MAX_UNPACKED = 8 << 30
MAX_RATIO = 200
SMALL_ENOUGH = 64 << 20
REMEDY = "Do not use this archive, or unpack it by hand and name the folder"
FAULTS = (
    zipfile.BadZipFile,
    OSError,
    NotImplementedError,
    RuntimeError,  # a password is needed
    EOFError,
    ValueError,
    OverflowError,
    LookupError,
    struct.error,
    zlib.error,
    lzma.LZMAError,
)
"""What can be raised where an archive is damaged."""


@dataclass(eq=False)
class Limit:
    """What an archive and all archives in it may unpack to, together."""

    most: int = 0
    unpacked: int = 0
    members: int = 0

    def take(self, where: str, members: Sequence[zipfile.ZipInfo]) -> None:
        """Count the members of one more archive; what unpacks to 64 MiB may be as even as it likes.

        Raises
        ------
        SourceError
            It is too much.
        """
        packed = max(1, sum(info.compress_size for info in members))
        most = self.most or min(MAX_UNPACKED, max(SMALL_ENOUGH, packed * MAX_RATIO))
        unpacked = self.unpacked + sum(info.file_size for info in members)
        count = self.members + len(members)
        if count > MAX_MEMBERS or unpacked > most:
            what = f"would unpack to {unpacked} bytes in {count} file(s), which no task data and no layers do"
            raise SourceError(what, where=where, remedy=REMEDY)
        self.most, self.unpacked, self.members = most, unpacked, count
