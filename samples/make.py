"""Make the sample sets again: ``python samples/make.py [FOLDER]`` (FOLDER = this folder)."""

from __future__ import annotations

import shutil
import sys
from collections.abc import Callable
from pathlib import Path

from _broken import make_broken
from _display import make_display
from _machine import make_machine
from _office import make_office
from _older import make_older

SETS: dict[str, Callable[[Path], None]] = {
    "office/TASKDATA": make_office,
    "machine/TASKDATA": make_machine,
    "older/TASKDATA": make_older,
    "display-shapefiles": make_display,
    "broken/TASKDATA": make_broken,
}


def main(target: Path) -> None:
    """Write every sample set below ``target``, replacing what is there."""
    for name, build in SETS.items():
        top = target / name.split("/")[0]
        if top.exists():
            shutil.rmtree(top)
        build(target / name)
        files = [path for path in top.rglob("*") if path.is_file()]
        print(f"{name}: {len(files)} files, {sum(path.stat().st_size for path in files)} bytes")


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).parent)
