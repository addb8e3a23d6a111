"""Names that are those of one file on every system: others are read where they lie, and never written.

Sticks are of FAT or exFAT, and are read by Windows too. What it does with names is said in Microsoft's documentation,
"Naming Files, Paths, and Namespaces": some are those of devices whatever follows the first full stop, a colon begins
a stream of another file, and full stops and blanks at the end are taken away.
"""

from __future__ import annotations

import re

from taskdata.errors import TargetError
from taskdata.isoxml.files.set_files import is_plain_name

_DEVICES = re.compile(r"(CON|PRN|AUX|NUL|CONIN\$|CONOUT\$|(COM|LPT)[0-9\u00b9\u00b2\u00b3])", re.IGNORECASE)
_LETTERS = re.compile('[\x00-\x1f<>:"|?*]')
_LONGEST = 255


def why_unfit(name: str) -> str | None:
    """Return why ``name`` is not that of one file on every system, None where it is."""
    if not is_plain_name(name):
        return "it contains a path"
    if _LETTERS.search(name):
        return "it holds a character that sticks and Windows do not take"
    if name.endswith((".", " ")):
        return "Windows takes away a full stop or blank at the end"
    if _DEVICES.fullmatch(name.partition(".")[0].rstrip()):
        return "Windows keeps it for a device"
    if len(name.encode("utf-8", "surrogatepass")) > _LONGEST:
        return f"it is longer than {_LONGEST} bytes"
    return None


def refuse_name(name: str) -> None:
    """Refuse to write a file of a set under a name that is not one file's on every system.

    Raises
    ------
    TargetError
    """
    why = why_unfit(name)
    if why is not None:
        raise unwritten(name, why)


def unwritten(name: str, why: str) -> TargetError:
    """Return the failure to say of a file of a set whose name cannot be written."""
    remedy = "Rename or remove the file in the source"
    return TargetError(f"the set cannot be written with a file named {name!r}", why=why, remedy=remedy)
