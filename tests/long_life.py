"""Many conversions in one process: memory must not grow. ``python -m tests.long_life [CONVERSIONS]``, 1,000 by default.

A small set goes to each format and back, is checked and cleaned, always under new names. What the first tenth loads and
remembers does not count: libraries, tables of facts, compiled schemas.
"""

from __future__ import annotations

import gc
import shutil
import sys
import tempfile
from collections.abc import Iterator
from itertools import cycle
from pathlib import Path

import taskdata
from tests.damaged import FILES, write_set

FORMATS = ("gpkg", "parquet", "geojson", "shapefile", "flatgeobuf", "kml", "isoxml")
CONVERSIONS, SHOWN = 1000, 10
MOST_KIB = 16 << 10
"""What the second half of a run may grow by, for the allocator gives memory back in its own time."""


def conversions(folder: Path, count: int) -> Iterator[int]:
    """Convert so often, and yield the number of each."""
    for number, form in zip(range(1, count + 1), cycle(FORMATS)):
        place = folder / f"farm {number}"
        source = write_set(place, {**FILES, "TASKDATA.XML": FILES["TASKDATA.XML"].replace(b"Koppel", b"K%d" % number)})
        target = place / ("out.gpkg" if form == "gpkg" else "out")
        taskdata.convert(source, target, to=form)
        if form not in {"isoxml", "kml"}:
            taskdata.convert(target, place / "back", to="isoxml")
        taskdata.check(source)
        taskdata.clean(source, place / "clean")
        shutil.rmtree(place)
        yield number


def resident_kib() -> int:
    """Return the memory of the process that is in use now."""
    lines = Path("/proc/self/status").read_text(encoding="ascii").splitlines()
    return next(int(line.split()[1]) for line in lines if line.startswith("VmRSS"))


def objects() -> int:
    """Return how many objects the collector knows once everything that is not needed is gone."""
    gc.collect()
    return len(gc.get_objects())


def main() -> int:
    """Show memory and objects at each tenth; return 1 where the second half grew."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else CONVERSIONS
    shown = []
    with tempfile.TemporaryDirectory() as folder:
        for number in conversions(Path(folder), count):
            if number % max(1, count // SHOWN) == 0:
                shown.append((number, objects(), resident_kib()))
                sys.stdout.write("{:5d} conversions: {:,} objects, {:,} KiB\n".format(*shown[-1]))
                sys.stdout.flush()
    grown = shown[-1][2] - shown[len(shown) // 2 - 1][2]
    sys.stdout.write(f"The second half grew by {grown:,} KiB.\n")
    return 1 if grown > MOST_KIB else 0


if __name__ == "__main__":
    sys.exit(main())
