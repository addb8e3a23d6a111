"""Make the sample sets again: ``python samples/make.py [FOLDER]`` (FOLDER = this folder)."""

from __future__ import annotations

import shutil
import sys
from collections.abc import Callable
from pathlib import Path

from _broken import make_broken
from _display import make_display
from _machine import make_machine
from _mixed import make_mixed
from _office import make_office
from _older import make_older
from _rates import make_rates
from _receiver import make_receiver
from _sticks import make_sticks

HERE = Path(__file__).resolve().parent
SETS: dict[str, Callable[[Path], None]] = {
    "office/TASKDATA": make_office,
    "machine/TASKDATA": make_machine,
    "older/TASKDATA": make_older,
    "display-shapefiles": make_display,
    "broken/TASKDATA": make_broken,
    "mixed-stick": make_mixed,
    "rates": make_rates,
    "receiver": make_receiver,
    "season": make_sticks,
}


def main(target: Path) -> None:
    """Write every sample set below ``target``; only this script's own folder is written over."""
    tops = [target / name.split("/")[0] for name in SETS]
    taken = [str(top) for top in tops if top.exists()]
    if taken and target.resolve() != HERE:
        raise SystemExit(f"{', '.join(taken)} is there already; choose an empty folder")
    for top, (name, build) in zip(tops, SETS.items(), strict=True):
        if top.exists():
            shutil.rmtree(top)
        build(target / name)
        files = [path for path in top.rglob("*") if path.is_file()]
        print(f"{name}: {len(files)} files, {sum(path.stat().st_size for path in files)} bytes")


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else HERE)
