"""Which folders hold a set; a link out of a folder is not followed."""

from __future__ import annotations

from pathlib import Path

MAIN = "TASKDATA.XML"
FOLDER = "TASKDATA"


def main_in(folder: Path) -> Path | None:
    """Return the main file in a folder, None without one."""
    found = (item for item in sorted(folder.iterdir()) if item.name.upper() == MAIN and item.is_file())
    return next((item for item in found if not leads_outside(item)), None)


def inner_folders(folder: Path) -> list[Path]:
    """Return the folders in a folder that are called as that of a set and hold one: on a stick one, as a rule."""
    inner = (item for item in sorted(folder.iterdir()) if item.is_dir() and item.name.upper() == FOLDER)
    return [item for item in inner if not leads_outside(item) and main_in(item) is not None]


def holds_set(folder: Path) -> bool:
    """Tell whether a folder is that of a set, or the root of a stick."""
    return main_in(folder) is not None or bool(inner_folders(folder))


def sets_below(folder: Path) -> list[str]:
    """Return the names of the folders in a folder that are sets or sticks."""
    found = []
    for item in sorted(folder.iterdir()):
        try:
            if item.is_dir() and not leads_outside(item) and holds_set(item):
                found.append(item.name)
        except OSError:  # what cannot be looked into holds nothing that could be named
            continue
    return found


def leads_outside(item: Path) -> bool:
    """Tell whether an entry of a folder is a link to something that does not lie in the folder."""
    if not item.is_symlink():
        return False
    try:
        return item.parent.resolve() not in item.resolve().parents
    except (OSError, RuntimeError):  # links that lead in a circle lead to nothing
        return True
