"""Links below the sources of a batch: no search follows one, so each that leads elsewhere is told."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator

from taskdata.amounts import listed_in_part


def links_told(folders: Iterable[str]) -> list[str]:
    """Return a warning where links below folders lead out of all of them; what they lead to was not searched."""
    named = [path for path in folders if os.path.isdir(path)]
    within = [os.path.join(os.path.realpath(path), "") for path in named]
    links = [
        link
        for link in dict.fromkeys(item for path in named for item in _links_below(path))
        if not os.path.join(os.path.realpath(link), "").startswith(tuple(within))
    ]
    if not links:
        return []
    return [f"Links are not followed: {listed_in_part(links)}. Name what they lead to as a source to have it done."]


def _links_below(folder: str) -> Iterator[str]:
    """Yield every link in a folder, at any depth; what cannot be opened is told where sources are searched."""
    waiting = [folder]
    while waiting:
        try:
            with os.scandir(waiting.pop()) as entries:
                items = sorted(entries, key=lambda item: item.name)
        except OSError:
            continue
        yield from (item.path for item in items if item.is_symlink())
        waiting += [item.path for item in items if item.is_dir(follow_symlinks=False)]
