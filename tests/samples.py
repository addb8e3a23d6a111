"""Where the sample sets lie, for tests of every part."""

from __future__ import annotations

import shutil
from pathlib import Path

SAMPLES = Path(__file__).parent.parent / "samples"
OFFICE = SAMPLES / "office" / "TASKDATA"
MACHINE = SAMPLES / "machine" / "TASKDATA"
OLDER = SAMPLES / "older" / "TASKDATA"
BROKEN = SAMPLES / "broken" / "TASKDATA"
DISPLAY = SAMPLES / "display-shapefiles"
STICKS = tuple(SAMPLES / "season" / name / "TASKDATA" for name in ("drill", "sprayer", "spreader"))
SOUND = (OFFICE, MACHINE, OLDER)
EVERY = (*SOUND, BROKEN, DISPLAY, *STICKS)


def copy(source: Path, target: Path) -> Path:
    """Copy a sample set into ``target`` so that a test may change it, and return the copy."""
    return Path(shutil.copytree(source, target / source.name))


def faults() -> list[tuple[str, str, str, str]]:
    """Return rule, file, place and description of every fault of the broken set."""
    lines = (BROKEN.parent / "FAULTS.md").read_text(encoding="utf-8").splitlines()
    cells = [tuple(cell.strip() for cell in line.strip("|").split(" | ")) for line in lines if line.startswith("| R-")]
    return [(rule, file, place, what) for rule, file, place, what in cells]
