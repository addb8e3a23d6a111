"""A field worked in rows, its sections switched at its edges and now and then at will, each time at an exact moment."""

from __future__ import annotations

import math

import numpy as np
import shapely

from tests.fieldwork.simulated.ground import Truth, truth
from tests.fieldwork.simulated.logs import Receiver, dataset
from tests.fieldwork.simulated.motion import Leg, Rig, drive

WIDTH, SECTIONS, ROWS, LENGTH, RUN_IN = 12.0, 4, 5, 70.0, 14.0


def worked_field(seed: int, **receiver):
    """A data set with the log of a random field and machine, and the truth."""
    random = np.random.default_rng(seed)
    rig = _rig(random)
    spacing = WIDTH - random.choice([0.0, 0.1, 0.3, -0.1])
    done = drive(rig, _legs(spacing, random.choice([2.0, 2.5, 3.5])))
    field = _field(spacing, random)
    on = _states(done, field, random)
    known = {"rate": float(random.choice([1.0, 2.0, 5.0, 10.0])), "phase": float(random.uniform(0.0, 1.0))}
    known |= {"noise": 0.01, "drift": float(random.choice([0.0, 0.02])), "status": 4, "seed": seed} | receiver
    return dataset([(done, on)], field, Receiver(**known)), truth(done, on, field, cell=0.1), known


def inside(truth_of: Truth, areas) -> dict[str, bool]:
    """Whether each area lies in its interval."""
    return {kind: found.low <= getattr(truth_of, kind) <= found.high for kind, found in sorted(areas.intervals.items())}


def _rig(random) -> Rig:
    edges = np.linspace(-WIDTH / 2, WIDTH / 2, SECTIONS + 1)
    trailed = float(random.choice([0.0, 5.0]))
    return Rig(
        antenna=float(random.uniform(0.0, 2.5)),
        antenna_right=float(random.uniform(-0.2, 0.2)),
        hitch=float(random.uniform(0.6, 1.5)),
        trailed=trailed,
        bar=float(random.uniform(0.0, 2.0)),
        edges=tuple(zip(edges[:-1].tolist(), edges[1:].tolist(), strict=True)),
    )


def _legs(spacing: float, speed: float) -> list[Leg]:
    """Rows up and down, each with a half circle after it."""
    legs = []
    for row in range(ROWS):
        legs.append(Leg(LENGTH + 2 * RUN_IN, speed=speed))
        if row + 1 < ROWS:
            side = 1.0 if row % 2 == 0 else -1.0
            legs.append(Leg(math.pi * spacing / 2.0, side * 2.0 / spacing, speed=speed / 2.0))
    return legs


def _field(spacing: float, random):
    """A quadrilateral that the rows cover to about its sides, with slanted ends."""
    west, east = (
        -WIDTH / 2.0 - random.uniform(-0.3, 0.3),
        spacing * (ROWS - 1) + WIDTH / 2.0 + random.uniform(-0.3, 0.3),
    )
    low, high = RUN_IN + random.uniform(0.0, 8.0, 2), RUN_IN + LENGTH - random.uniform(0.0, 8.0, 2)
    return shapely.Polygon([(west, low[0]), (east, low[1]), (east, high[1]), (west, high[0])])


def _states(done, field, random) -> np.ndarray:
    """On while the middle of a section lies in the field, or a little before or after; off for a while at will."""
    on = np.zeros((len(done.seconds), SECTIONS), dtype=bool)
    wide = field.buffer(float(random.uniform(-0.3, 0.4)))
    shapely.prepare(wide)
    for column, (left, right) in enumerate(done.rig.edges):
        on[:, column] = shapely.contains_xy(wide, *done.edge((left + right) / 2.0).T)
        for _ in range(random.integers(0, 4)):
            start = random.uniform(0.0, done.seconds[-1])
            on[(done.seconds >= start) & (done.seconds < start + random.uniform(2.0, 8.0)), column] = False
    on[-1] = False
    return on
