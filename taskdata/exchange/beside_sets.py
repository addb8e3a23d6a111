"""What lies beside several sets on a stick, which is not read with any of them."""

from __future__ import annotations

import os

from taskdata.errors import SourceError
from taskdata.exchange.found.locating import locate
from taskdata.exchange.found.walking import everything_in
from taskdata.paths import named_path


def beside_sets(path: str | os.PathLike[str]) -> tuple[str, ...]:
    """Return the paths of layers and rasters that lie beside the sets of a folder or archive, at any depth."""
    try:
        located = locate(named_path(path))
        found = None if located is None or located.blob is not None else everything_in(located.folder)
    except (SourceError, OSError):  # reading the sets says why
        return ()
    return () if found is None else tuple(thing.where for thing in found.things if not thing.is_set and thing.sure)
