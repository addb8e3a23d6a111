"""Every layer and table that is written, by name."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from taskdata.formats import side_tables
from taskdata.formats.columns import LayerSpec
from taskdata.formats.layers.computed import RESULTS
from taskdata.formats.layers.of_dataset import SPECS

OWN: Mapping[str, LayerSpec] = MappingProxyType({**SPECS, **{spec.name: spec for spec in RESULTS}, **side_tables.SPECS})
"""Layers of data sets and of results, and the tables that carry the rest of a set."""
