"""Compare the program with an independent simulation: ``python -m tests.simulation [NAME...]``.

Prints how many figures agree, and each that does not. The second methods share no code with the project: geographiclib,
pyproj, shapely and closed forms.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator

from tests.simulation import areas, passes, rate_maps, shifts
from tests.simulation.figure import Figure

PARTS: dict[str, tuple[Callable[[int], Iterator[Figure]], int]] = {
    "areas": (areas.figures, 100),
    "passes": (passes.figures, 40),
    "rate_maps": (rate_maps.figures, 20),
    "shifts": (shifts.figures, 60),
}


def main(names: list[str]) -> int:
    """Run the named parts, or all; 1 where a figure does not agree."""
    right = total = 0
    for name, (figures, count) in PARTS.items():
        if names and name not in names:
            continue
        found = list(figures(count))
        wrong = [figure for figure in found if not figure.agrees]
        right, total = right + len(found) - len(wrong), total + len(found)
        sys.stdout.write(f"{name}: {len(found) - len(wrong)} of {len(found)}\n")
        for figure in wrong:
            sys.stdout.write(f"  {figure.name}: {figure.said:.9g}, not {figure.true:.9g} (within {figure.bound:.3g})\n")
    sys.stdout.write(f"{right} of {total} figures agree\n")
    return 0 if right == total else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
