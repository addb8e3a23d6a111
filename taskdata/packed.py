"""What an archive and all archives in it unpack to, together, and what can be wrong with one."""

from __future__ import annotations

import lzma
import struct
import zipfile
import zlib
from collections.abc import Sequence

from taskdata import limits
from taskdata.dataclass import dataclass
from taskdata.errors import SourceError

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
class Unpacked:
    """What an archive and all archives in it unpack to, together."""

    packed: int = 0
    size: int = 0
    members: int = 0

    def take(self, where: str, members: Sequence[zipfile.ZipInfo]) -> None:
        """Count the members of one more archive; the first one says how much there is room for.

        Raises
        ------
        SourceError
            It is too much.
        """
        packed = self.packed or max(1, sum(info.compress_size for info in members))
        size = self.size + sum(info.file_size for info in members)
        count = self.members + len(members)
        name = "archive_files" if count > limits.most("archive_files") else limits.binding(packed)
        if name == "archive_files" or size > limits.room_for(packed):
            raise SourceError(
                f"would unpack to {size} bytes in {count} file(s), which no task data and no layers do",
                where=where,
                why=limits.told(name),
                remedy=f"{REMEDY}. {limits.raising(name)}",
            )
        self.packed, self.size, self.members = packed, size, count
