"""What lies in a folder on disk, links and special files among it, which readers never open."""

from __future__ import annotations

import stat
from pathlib import Path

from taskdata.litter import entries, is_litter


def plain_files(folder: Path) -> tuple[list[Path], list[str]]:
    """Return the regular files in a folder, and the names of what else is in it; without what systems leave.

    Of a folder that a system left, such as a waste bin, what is in it counts.
    """
    files, others = [], []
    for item in entries(folder):
        if stat.S_ISREG(item.lstat().st_mode):
            files.append(item)
        else:
            others.append(f"{item.name}/" if item.is_dir() and not item.is_symlink() else item.name)
    return files, others + kept_in_bins(folder)


def kept_in_bins(folder: Path) -> list[str]:
    """Return what lies in the folders that systems left in a folder, and was not left by them."""
    bins = [item for item in folder.iterdir() if is_litter(item.name) and item.is_dir() and not item.is_symlink()]
    found = []
    for item in bins:
        found += [f"{item.name}/{name}" for name in (*(inner.name for inner in entries(item)), *kept_in_bins(item))]
    return sorted(found)


def is_folder(place: Path) -> bool:
    """Tell whether a folder stands at a place, and no link to one."""
    return stat.S_ISDIR(place.lstat().st_mode)
