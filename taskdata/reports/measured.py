"""A measured quantity for a person, and as a part of ``coverage --json``."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import asdict
from typing import Any

from taskdata.amounts import counted
from taskdata.quantities.by_area import farm_rate
from taskdata.quantities.dictionary import entry
from taskdata.quantities.units import System, conversion
from taskdata.reports.applied_text import number_text, percent
from taskdata.reports.inspect_text import Units, area_text
from taskdata.reports.remembered import basis_of
from taskdata.results.measured import MeasuredQuantity

HARVESTED = frozenset({83, 84, 85, 181, 185, 186})
"""Yields by area."""


def measured_texts(found: MeasuredQuantity | None, units: Units) -> Iterator[str]:
    """Yield what is said of a measured quantity: its mean, what was left out, and the total beside the counter."""
    if found is None:
        return
    value, unit = _shown(found.shown_ddi, units)
    name = entry(found.ddi).plain_name
    part = f" ({', '.join(found.parts)})" if found.parts else ""
    at = "" if found.standard_moisture is None else f", at {100.0 * found.standard_moisture:g} % moisture"
    if found.mean is None or found.minimum is None or found.maximum is None:
        yield f"{name}{part}: no record was kept of {counted(found.records, 'record')} at work."
    else:
        yield (
            f"{name}{part}{at}: mean {number_text(value(found.mean))} {unit} over "
            f"{area_text(found.area_m2, units)}, from "
            f"{number_text(value(found.minimum))} to {number_text(value(found.maximum))}; kept {found.kept} of "
            f"{counted(found.records, 'record')} at work."
        )
    if found.delay_s is None and found.shown_ddi in HARVESTED:
        yield (
            "No delay was given: the crop is measured some 10 s after it is cut (common practice), so values lie that "
            "far ahead of their ground. Give the delay with --delay and a minus sign, such as --delay -10."
        )
    listed = "; ".join(f"{item.count} {item.why}" for item in found.left_out if item.count)
    yield f"Left out: {listed or 'none'}."
    if found.moisture is not None:
        yield f"Logged moisture: mean {percent(found.moisture)}."
    yield from _totals(found, units)


def _totals(found: MeasuredQuantity, units: Units) -> Iterator[str]:
    if found.total is None or found.total_as_logged is None:
        return
    shown = farm_rate(found.shown_ddi, units)
    logged = shown.product(found.total_as_logged)
    text = f"Total of the cleaned map ({found.cell_m:g} m cells): {number_text(logged)} {shown.product_unit}"
    if found.standard_moisture is not None:
        total = number_text(shown.product(found.total))
        text += f" as harvested, {total} {shown.product_unit} at {100.0 * found.standard_moisture:g} % moisture"
    if found.logged_total is None:
        yield f"{text}; the machine logged no counter to compare it with."
        return
    counter = shown.product(found.logged_total)
    share = f", {100.0 * (logged / counter - 1.0):+.1f} %" if counter else ""
    yield f"{text}; the machine counted {number_text(counter)} {shown.product_unit} as harvested{share}."


def measured_document(found: MeasuredQuantity) -> dict[str, Any]:
    """Return a measured quantity in metric farm units."""
    value, unit = _shown(found.shown_ddi, "metric")
    shown = farm_rate(found.shown_ddi)

    def product(amount: float | None) -> float | None:
        return None if amount is None else shown.product(amount)

    return {
        "ddi": found.ddi,
        "name": entry(found.ddi).plain_name,
        "basis": basis_of(found.ddi, unit),
        "parts": list(found.parts),
        "unit": unit,
        "records": found.records,
        "kept": found.kept,
        "left_out": [asdict(item) for item in found.left_out],
        "area_m2": found.area_m2,
        **{name: None if one is None else value(one) for name, one in _means(found)},
        "moisture_percent": None if found.moisture is None else 100.0 * found.moisture,
        "standard_moisture_percent": None if found.standard_moisture is None else 100.0 * found.standard_moisture,
        "product_unit": None if found.total is None else shown.product_unit,
        "total": product(found.total),
        "total_as_logged": product(found.total_as_logged),
        "logged_total": product(found.logged_total),
        "cell_m": found.cell_m,
    }


def _means(found: MeasuredQuantity) -> Iterator[tuple[str, float | None]]:
    yield "mean", found.mean
    yield "minimum", found.minimum
    yield "maximum", found.maximum


def _shown(ddi: int, units: System) -> tuple[Callable[[float], float], str]:
    """Return how physical values are shown, and their unit."""
    known = conversion(ddi, units)
    if known is None:
        return float, entry(ddi).unit or ""
    factor, offset = float(known.factor), float(known.offset)
    return lambda value: value * factor + offset, known.unit
