"""Layers that hold what was computed: written on demand, never part of a data set."""

from __future__ import annotations

from taskdata.formats.columns import LayerSpec
from taskdata.formats.layers import applied, coverage, measured, passes

NEVER_READ: tuple[LayerSpec, ...] = (coverage.SPEC, applied.SPEC, measured.SPEC)
"""Layers of results that are computed anew where they are asked for."""

RESULTS: tuple[LayerSpec, ...] = (*NEVER_READ, passes.SPEC)
"""Every layer of results; passes are read, as lines to steer along."""
