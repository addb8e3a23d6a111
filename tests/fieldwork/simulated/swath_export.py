"""What a drive would export: a polygon for each interval between records, of the whole bar or of each section.

By shapely alone, in metres.
"""

from __future__ import annotations

import numpy as np
import shapely


def exported(done, on, *, rate=1.0, sections=False):
    """Polygons in the order of time, the seconds at which each began, and the width of each.

    ``on`` is (n, k), of every step of the drive; a state holds from record to record.
    """
    times = np.arange(done.seconds[0], done.seconds[-1], 1.0 / rate)
    at = np.searchsorted(done.seconds, times)
    edges = [done.edge(right)[at] for right in (done.rig.edges[0][0], *(pair[1] for pair in done.rig.edges))]
    found, seconds, widths = [], [], []
    for index in range(len(at) - 1):
        for first, last in _spans(on[at[index]], sections):
            corners = [edges[first][index], edges[last][index], edges[last][index + 1], edges[first][index + 1]]
            found.append(shapely.Polygon(corners))
            seconds.append(times[index])
            widths.append(done.rig.edges[last - 1][1] - done.rig.edges[first][0])
    return np.array(found, dtype=object), np.array(seconds), np.array(widths)


def _spans(on, sections):
    """From which edge to which other the bar works: each section alone, or those side by side together."""
    if sections:
        return [(int(index), int(index) + 1) for index in np.flatnonzero(on)]
    changes = np.flatnonzero(np.diff(np.concatenate([[False], on, [False]]).astype(int)))
    return list(zip(changes[::2].tolist(), changes[1::2].tolist(), strict=True))


def ground(polygons):
    """What polygons cover, those that cross themselves mended."""
    return shapely.union_all(shapely.make_valid(polygons))
