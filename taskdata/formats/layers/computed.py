"""Layers that hold what was computed: written on demand, never part of a data set."""

from __future__ import annotations

from taskdata.formats.columns import LayerSpec
from taskdata.formats.layers import applied, coverage, measured, passes

RESULTS: tuple[LayerSpec, ...] = (coverage.SPEC, applied.SPEC, measured.SPEC, passes.SPEC)
"""Every layer of results."""
