"""Ways to value places from irregular points, compared on made fields: ``python -m tests.rates.methods``.

A field of 400 m is either smooth, a sum of waves about 150 m long, or in six patches of one rate each. Points lie at
random and carry noise; the error is that at 500 other places, the mean of 20 fields.
"""

from __future__ import annotations

import itertools
import sys
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
SIDE, FIELDS, PLACES = 400.0, 20, 500
WAYS = {"nearest": (1, 1.0), "8, 1/d": (8, 1.0), "4, 1/d²": (4, 2.0), "8, 1/d²": (8, 2.0), "16, 1/d²": (16, 2.0)}
"""How many points count, and the power of their distance."""


def smooth(random: np.random.Generator) -> Callable[[Floats], Floats]:
    """A field of waves about 200, with a standard deviation of 30."""
    waves, phases = random.normal(0.0, 1.0 / 80.0, (40, 2)), random.uniform(0.0, 2.0 * np.pi, 40)
    return lambda places: 200.0 + 30.0 * np.sqrt(0.05) * np.cos(np.pi * places @ waves.T + phases).sum(axis=1)


def patches(random: np.random.Generator) -> Callable[[Floats], Floats]:
    """A field of six patches from 100 to 300."""
    middles, rates = random.uniform(0.0, SIDE, (6, 2)), random.uniform(100.0, 300.0, 6)
    return lambda places: rates[((places[:, None] - middles) ** 2).sum(axis=2).argmin(axis=1)]


def error(
    make: Callable[[np.random.Generator], Callable[[Floats], Floats]], noise: float, count: int, way: str
) -> float:
    """The root mean square error of a way, the mean over the fields."""
    few, power = WAYS[way]
    found = []
    for seed in range(FIELDS):
        random = np.random.default_rng(seed)
        field = make(random)
        sites, places = random.uniform(0.0, SIDE, (count, 2)), random.uniform(0.0, SIDE, (PLACES, 2))
        values = field(sites) + random.normal(0.0, noise, count)
        distances = np.sqrt(((places[:, None] - sites) ** 2).sum(axis=2))
        near = np.argsort(distances, axis=1)[:, :few]
        weights = np.take_along_axis(distances, near, axis=1) ** -power
        means = (weights * values[near]).sum(axis=1) / weights.sum(axis=1)
        found.append(np.sqrt(((means - field(places)) ** 2).mean()))
    return float(np.mean(found))


def main() -> None:
    """Print the table."""
    lines = [["field, noise, points", *WAYS]]
    for make, noise, count in itertools.product((smooth, patches), (0.0, 10.0), (60, 300)):
        errors = (f"{error(make, noise, count, way):.1f}" for way in WAYS)
        lines.append([f"{make.__name__}, {noise:g}, {count}", *errors])
    sys.stdout.writelines(f"| {' | '.join(line)} |\n" for line in lines)


if __name__ == "__main__":
    main()
