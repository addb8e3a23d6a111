"""Which process a half-written target belongs to, and whether that process still runs."""

from __future__ import annotations

import hashlib
import os
import platform
import re
import uuid
from pathlib import Path

from taskdata.dataclass import dataclass

_UNKNOWN = "0"
_FORM = r"owner\.(?P<pid>\d+)\.(?P<started>\w+)\.(?P<boot>\w+)\.(?P<space>\w+)\.(?P<host>[\w-]+)"
_NAME = re.compile(_FORM)
_IN_NAME = re.compile(rf"\..*\.{_FORM}\.\d+\.part", re.DOTALL)
_ENDED = frozenset("ZX")
"""States of a process that has ended and only waits for its parent to ask (proc(5))."""


@dataclass(frozen=True, slots=True)
class Owner:
    """A process.

    Parameters
    ----------
    pid : int
        Its number.
    started : str
        When it started, in the system's own count; it tells it from a later process of the same number.
    boot, space : str
        Which run of the system, and which space of process numbers in it (containers have their own).
    host : str
        The computer.
    """

    pid: int
    started: str
    boot: str
    space: str
    host: str

    @property
    def name(self) -> str:
        """The note of the process, as the name of a file."""
        return f"owner.{self.pid}.{self.started}.{self.boot}.{self.space}.{self.host}"

    def is_gone(self) -> bool:
        """Tell whether it is certain that the process has ended; never of one on another computer."""
        here = this_process()
        if self.host != here.host:
            return False
        if _UNKNOWN not in {self.boot, here.boot} and self.boot != here.boot:
            return True
        if self.space != here.space:
            return False
        started = _started(self.pid)
        return started is None or (_UNKNOWN not in {started, self.started} and started != self.started)


def this_process() -> Owner:
    """Return the process that asks."""
    boot = _text("/proc/sys/kernel/random/boot_id").replace("-", "")[:12]
    space = "".join(filter(str.isdigit, _link("/proc/self/ns/pid")))
    return Owner(os.getpid(), _started(os.getpid()) or _UNKNOWN, boot or _UNKNOWN, space or _UNKNOWN, _host())


def noted(name: str) -> Owner | None:
    """Return the process that the name of a file notes, None where it notes none."""
    return _of(_NAME.fullmatch(name))


def noted_in_name(name: str) -> Owner | None:
    """Return the process that the name of a folder itself notes, None where it notes none."""
    return _of(_IN_NAME.fullmatch(name))


def _of(found: re.Match[str] | None) -> Owner | None:
    return None if found is None else Owner(int(found["pid"]), *found.group("started", "boot", "space", "host"))


def _started(pid: int) -> str | None:
    """Return when a process started, ``_UNKNOWN`` where the system does not say; None where it has ended."""
    if Path("/proc/self/stat").exists():
        parts = _text(f"/proc/{pid}/stat").rpartition(")")[2].split()
        return None if not parts or parts[0] in _ENDED else parts[19]
    if os.name != "posix":
        return _UNKNOWN  # asking there could end the process
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return None
    except OSError:
        return _UNKNOWN
    return _UNKNOWN


def _host() -> str:
    """Return the name of this computer, and what tells it from another one of that name."""
    name = platform.node()
    own = _text("/etc/machine-id").strip() or str(uuid.getnode())
    digest = hashlib.sha256(f"{name}\n{own}".encode()).hexdigest()[:8]
    return f"{re.sub(r'[^A-Za-z0-9]', '-', name)[:40]}-{digest}"


def _text(path: str) -> str:
    try:
        return Path(path).read_text(encoding="utf-8", errors="replace")
    except OSError:
        return ""


def _link(path: str) -> str:
    try:
        return str(Path(path).readlink())
    except OSError:
        return ""
