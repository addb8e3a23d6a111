"""A folder that nobody should look into, and what a run touched: by the system's own watch, and before and after."""

from __future__ import annotations

import ctypes
import os
import stat
import struct
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

WORD = "what-nobody-may-read-4711"
"""What every file of the folder holds."""
FILES = ("CTP99999.XML", "TLG99999.XML", "TLG99999.BIN", "GRD99999.BIN", "PNT99999.BIN", "NOTE.TXT")
"""A file for each kind that a set names, with and without its suffix."""

_TOUCHED = 0x1 | 0x2 | 0x20 | 0x40 | 0x80 | 0x100 | 0x200 | 0x400 | 0x800
"""Reading, writing, opening, renaming, making and removing (inotify(7): IN_ACCESS, IN_MODIFY, IN_OPEN, ...)."""
_NONBLOCK = 0x800
_HEAD = struct.Struct("iIII")


def forbidden(folder: Path) -> Path:
    """Make the folder."""
    folder.mkdir()
    for name in FILES:
        (folder / name).write_text(WORD, encoding="utf-8")
    return folder


@contextmanager
def untouched(home: Path, secret: Path, *written: Path) -> Iterator[None]:
    """Let nothing in ``home`` change but what is ``written``; nothing in ``secret`` is opened, or held elsewhere."""

    def outside() -> dict[str, object]:
        items = (
            item for item in home.rglob("*") if not any(item == place or place in item.parents for place in written)
        )
        return {str(item): _facts(item) for item in items}

    before = outside()
    with _watched(secret) as touched:
        yield
        assert touched() == set()
    assert outside() == before
    for place in written:
        for item in (place, *place.rglob("*")):
            assert not item.is_symlink()
            assert not item.is_file() or WORD.encode() not in item.read_bytes(), item


def _facts(item: Path) -> object:
    """Return what changes when somebody writes to a thing, or puts another in its place."""
    facts = item.lstat()
    content = item.read_bytes() if stat.S_ISREG(facts.st_mode) else b""
    return facts.st_mode, facts.st_ino, facts.st_mtime_ns if content else 0, content


@contextmanager
def _watched(folder: Path) -> Iterator[Callable[[], set[str]]]:
    """Give a function that names what was touched in a folder so far; on other systems than Linux always nothing."""
    if sys.platform != "linux":
        yield set
        return
    library = ctypes.CDLL(None, use_errno=True)
    handle = library.inotify_init1(_NONBLOCK)
    assert handle >= 0
    assert library.inotify_add_watch(handle, os.fsencode(folder), ctypes.c_uint32(_TOUCHED)) >= 0

    def touched() -> set[str]:
        found = set()
        while True:
            try:
                content = os.read(handle, 1 << 16)
            except BlockingIOError:
                return found
            while content:
                _, mask, _, size = _HEAD.unpack_from(content)
                name = content[_HEAD.size : _HEAD.size + size].rstrip(b"\0")
                found.add(f"{os.fsdecode(name) or '.'} {mask:#x}")
                content = content[_HEAD.size + size :]

    try:
        yield touched
    finally:
        os.close(handle)
