"""One file of a set as bytes on demand; one that cannot be read is told, and costs nothing but itself."""

from __future__ import annotations

import io
from collections.abc import Callable, Hashable, Iterator
from dataclasses import field
from typing import Any, BinaryIO

from taskdata.dataclass import dataclass
from taskdata.errors import SourceError


class UnreadableFileError(SourceError):
    """The bytes of one file cannot be had: ``why`` says what the disk or the archive says."""


@dataclass(eq=False)
class _State:
    """What reading a file brought to light, shared by every name that it is known under."""

    fault: str | None = None
    known: dict[Hashable, Any] = field(default_factory=dict)


@dataclass(frozen=True, eq=False)
class Blob:
    """One file of a set, opened on demand: its name as stored, its size in bytes, and how to open it.

    ``state`` is shared with every copy under another name.
    """

    name: str
    size: int
    opener: Callable[[], BinaryIO]
    state: _State = field(default_factory=_State, repr=False)

    @classmethod
    def of(cls, name: str, content: bytes) -> Blob:
        """Make a file from bytes."""
        return cls(name, len(content), lambda: io.BytesIO(content))

    @classmethod
    def broken(cls, name: str, why: str) -> Blob:
        """Make a file that is known to be unreadable."""

        def refuse() -> BinaryIO:
            raise UnreadableFileError("cannot be read", where=name, why=why)

        return cls(name, 0, refuse, _State(fault=why))

    @property
    def fault(self) -> str | None:
        """Why the file cannot be read, as far as anybody tried; None where no attempt failed."""
        return self.state.fault

    def read(self) -> bytes:
        """Return the whole content.

        Raises
        ------
        UnreadableFileError
            The disk or the archive refuses; ``fault`` says why from then on.
        """
        try:
            with self.opener() as stream:
                content = stream.read()
            if len(content) < self.size:  # as where an archive states more than is packed in it
                raise OSError(f"it ends after {len(content)} of {self.size} bytes")
        except (UnreadableFileError, OSError) as error:
            raise self.failed(error) from error
        return content

    def content(self) -> bytes | None:
        """Return the whole content, None where it cannot be read; no second attempt is made then."""
        if self.fault is not None:
            return None
        try:
            return self.read()
        except UnreadableFileError:
            return None

    def pieces(self, size: int = 1 << 20) -> Iterator[bytes]:
        """Yield the content in pieces, up to where it cannot be read on; ``fault`` says then that it is not whole."""
        if self.fault is not None:
            return
        try:
            count = 0
            with self.opener() as stream:
                while piece := stream.read(size):
                    count += len(piece)
                    yield piece
            if count < self.size:
                raise OSError(f"it ends after {count} of {self.size} bytes")
        except (UnreadableFileError, OSError) as error:
            self.failed(error)

    def failed(self, error: UnreadableFileError | OSError) -> UnreadableFileError:
        """Note that the file cannot be read, and return the failure that says so."""
        why = error.why if isinstance(error, UnreadableFileError) else error.strerror or str(error)
        self.state.fault = why or "the reason is unknown"
        if isinstance(error, UnreadableFileError):
            return error
        remedy = "Copy it again from the original"
        return UnreadableFileError("cannot be read", where=self.name, why=why, remedy=remedy)

    def known(self, key: Hashable) -> Any:
        """Return what was remembered of the content under ``key``, None where nothing was."""
        return self.state.known.get(key)

    def remember(self, key: Hashable, fact: Any) -> None:
        """Remember something of the content, so that the file need not be read again for it."""
        self.state.known[key] = fact
