"""Layers of results to any GIS format, whole or not at all."""

from __future__ import annotations

from collections.abc import Sequence

from taskdata.exchange.targets import Target
from taskdata.formats.columns import Layer
from taskdata.formats.drivers import DRIVERS, SINGLE_FILE
from taskdata.ledger import Loss
from taskdata.staging import staged


def write_layers(layers: Sequence[Layer], goal: Target, *, overwrite: bool = False) -> list[Loss]:
    """Write layers as the format of a target that is no ISO-XML, and return what it cannot hold.

    Raises
    ------
    TargetError
        The target may not or could not be written.
    """
    with staged(goal.place, overwrite=overwrite, replaceable=goal.replaceable) as fresh:
        if goal.format not in SINGLE_FILE:
            fresh.mkdir()
        return DRIVERS[goal.format].write(fresh, layers, None)
