"""What writing a map in another form costs, in words for the ledger."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from taskdata.adapt.cells import CellMap, Mix, rates_of, values_of
from taskdata.adapt.resampling import is_rate_per_area, laid_over
from taskdata.isoxml.tree.element import Element
from taskdata.quantities.dictionary import ddi_number
from taskdata.quantities.units import convert

CAUTION = "check the map on the terminal before work"
OFF = 0.1
"""A rate that differs by more than this share from what it was is told."""


def area_error(before: float, after: float) -> str:
    """Say how an area in m² changes."""
    share = f", {_change(before, after)}" if before else ""
    return f"{before:.0f} m² becomes {after:.0f} m²{share}; {CAUTION}"


def _change(before: float, after: float) -> str:
    return f"{round((after - before) / before * 100, 2) + 0.0:+.2f} %"


def zone_errors(old: CellMap, new: CellMap) -> Iterator[str]:
    """Say of each zone how its area changes, and on how much ground another zone applies now."""
    other = old.index != laid_over(new, old)
    for at, mix in enumerate(old.mixes):
        told = area_error(old.area_of(old.index == at), new.area_of(new.index == at))
        moved = old.area_of((old.index == at) & other)
        yield f"{_zone(mix)} in larger cells: another zone applies on {moved:.0f} m² of it; {told}"


def averaging_errors(old: CellMap, new: CellMap, how: str) -> Iterator[str]:
    """Say of each thing that is applied how its sum and its range change, and where it is off by more than a tenth.

    ``how`` says what was done, such as ``in larger cells``.
    """
    before, after, area = values_of(old), values_of(new), old.row_areas()
    there = rates_of(new)[laid_over(new, old)]
    whole = area.sum() * old.placement.columns
    for at, setpoint in enumerate(old.mixes[0].setpoints):
        values = before[:, :, at]
        off = np.abs(there[:, :, at] - values) > OFF * np.abs(values)
        share = float(off.sum(axis=1) @ area) / whole * 100 if whole else 0.0
        ends = ((layer.min(), layer.max()) for layer in (values, after[:, :, at]))
        ranges = [" to ".join(_said(setpoint, int(end)) for end in both) for both in ends]
        told = f"{_thing(setpoint)} {how}: {ranges[0]} becomes {ranges[1]}"
        if is_rate_per_area(setpoint):
            sums = float(values.sum(axis=1) @ area), float(after[:, :, at].sum(axis=1) @ new.row_areas())
            told += f"; area x rate {_change(*sums)}" if sums[0] else ""
        told += f"; {share:.1f} % of the area is off by more than a tenth"
        bare = float(((values == 0) & (there[:, :, at] != 0)).sum(axis=1) @ area)
        yield f"{told}; {bare:.0f} m² that had 0 get a rate" if bare else told


def _zone(mix: Mix) -> str:
    """Name a zone by its code, or by what it sets where it stems from a grid of setpoints."""
    return f"zone {mix.code}" if mix.code else f"zone of {' and '.join(map(_set, mix.setpoints))}"


def _set(setpoint: Element) -> str:
    return f"{_said(setpoint, int(setpoint.get('ProcessDataValue') or 0))} ({_thing(setpoint)})"


def _thing(setpoint: Element) -> str:
    """Name what a setpoint is for: the number in the dictionary, the product, the part of the machine."""
    names = (setpoint.get(name) for name in ("ProductIdRef", "DeviceElementIdRef"))
    return " ".join([f"DDI {setpoint.get('ProcessDataDDI')}", *(f"of {name}" for name in names if name)])


def _said(setpoint: Element, raw: int) -> str:
    """Return a raw value in the unit of a farm, as it stands where the dictionary says nothing of it."""
    number = ddi_number(setpoint.get("ProcessDataDDI") or "")
    if number is None:
        return str(raw)
    value, unit = convert(raw, number, "metric")
    return f"{value:.6g} {unit or ''}".rstrip()
