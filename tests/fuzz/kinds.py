"""Kinds of files that are fuzzed: what lies beside one, how it is changed, and what is asked of the program."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from tests.fuzz.changes import Change, plain

Files = Mapping[str, bytes]
STAMP = (2024, 4, 18, 7, 0, 0)


@dataclass(frozen=True)
class Kind:
    """One kind of file, or of files that belong together.

    Attributes
    ----------
    name : str
    seeds : callable
        Makes sound files to start with in an empty folder: a mapping each of relative paths to contents.
    judge : callable
        Takes the path of the source and puts it through the program; what it raises is a find.
    file : str
        Relative path that the content is written to; empty where it consists of several files, packed in a zip archive.
    source : str
        What is read, from the folder on; empty for the folder itself.
    beside : mapping
        Files that lie beside, always the same.
    change : callable
        Changes a content so that it stays close to what a reader expects.
    """

    name: str
    seeds: Callable[[Path], Sequence[Files]]
    judge: Callable[[Path], None]
    file: str = ""
    source: str = ""
    beside: Files = field(default_factory=dict)
    change: Change = plain
    most: int = 1 << 16

    @property
    def suffix(self) -> str:
        """Suffix of a content that is kept as a file."""
        return Path(self.file).suffix.lower() or ".zip"

    def content(self, files: Files) -> bytes:
        """Return files as one content."""
        return files[self.file] if self.file else packed(files)

    def lay(self, content: bytes, folder: Path) -> Path | None:
        """Write a content below a folder and return the source; None where it cannot be taken apart."""
        files = {self.file: content} if self.file else unpacked(content)
        if not files:
            return None
        for name, written in {**self.beside, **files}.items():
            path = folder / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(written)
        return folder / self.source


def packed(files: Files) -> bytes:
    """Pack files into an archive that is the same each time."""
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in sorted(files.items()):
            info = zipfile.ZipInfo(name, STAMP)
            info.compress_type = zipfile.ZIP_DEFLATED
            archive.writestr(info, content)
    return stream.getvalue()


def unpacked(content: bytes) -> dict[str, bytes]:
    """Return the files of such an archive; none where it is none, or where a name leads out of the folder."""
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            files = {info.filename: archive.read(info) for info in archive.infolist() if info.file_size < 1 << 20}
    except Exception:  # whatever is no archive of ours is no input
        return {}
    sound = all(name and not name.startswith("/") and ".." not in name and "\\" not in name for name in files)
    return files if sound else {}
