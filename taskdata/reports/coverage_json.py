"""Coverage as the document of ``coverage --json``."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from taskdata.quantities.by_area import farm_rate
from taskdata.quantities.dictionary import entry
from taskdata.reports.measured import measured_document
from taskdata.reports.reading import reading_document
from taskdata.reports.remembered import basis_of
from taskdata.results.applied import ZoneFigures
from taskdata.results.areas import Areas
from taskdata.results.coverage import Coverage, Covered, Known
from taskdata.results.driving import LineFollowing
from taskdata.results.figures import RateFigures


def coverage_document(found: Covered, warnings: Sequence[str] = ()) -> dict[str, Any]:
    """Return the document: areas in m², lengths in metres, times in seconds, rates in metric farm units.

    Parameters
    ----------
    found : Covered
    warnings : sequence of str
        What the text says beside the figures, see ``coverage_text.warnings_of``.
    """
    return {
        "tasks": [_task(item) for item in found.tasks],
        **({} if found.raster is None else {"raster": asdict(found.raster)}),
        **reading_document(found.findings, warnings),
    }


def _task(item: Coverage) -> dict[str, Any]:
    areas, figures, passes = item.areas, item.figures, item.pass_to_pass
    told = item.known is not Known.NOTHING
    return {
        "task": item.task,
        "field": item.field,
        "logs": list(item.logs),
        "records": item.records,
        "devices": list(item.devices),
        "field_area_m2": areas.field_m2,
        "worked_area_m2": areas.worked_m2 if told else None,
        "double_area_m2": areas.double_m2 if told else None,
        "missed_area_m2": areas.missed_m2,
        "outside_area_m2": areas.outside_m2,
        "applied_area_m2": areas.applied_m2 if told else None,
        **{f"{kind}_interval_m2": _interval(areas, kind) for kind in areas.by_kind},
        "late_missed_area_m2": areas.late_missed_m2,
        "late_outside_area_m2": areas.late_outside_m2,
        "distance_m": figures.distance_m if told else None,
        "working_time_s": figures.working_time_s if item.records else None,
        "capacity_ha_h": figures.capacity_ha_h,
        "efficiency": figures.efficiency,
        "pass_to_pass": None
        if passes is None
        else {
            "mean_abs_m": passes.mean_abs_m,
            "p95_m": passes.p95_m,
            "pairs": passes.pairs,
            "spacing_m": passes.spacing_m,
            "driven_m": passes.driven_m,
        },
        "cross_track": None if item.followed is None else _followed(item.followed),
        "rates": [_rate(rate) for rate in item.rates],
        "zones": [_zone(zone) for zone in item.zones],
        **({} if item.measured is None else {"measured": measured_document(item.measured)}),
        "method": item.method,
        "uncertainty_m2": areas.uncertainty_m2 if areas.intervals else None,
        "double_uncertainty_m2": areas.double_uncertainty_m2 if areas.intervals else None,
    }


def _interval(areas: Areas, kind: str) -> list[float] | None:
    found = areas.intervals.get(kind)
    return None if found is None else [found.low, found.high]


def _followed(found: LineFollowing) -> dict[str, Any] | None:
    error = found.error
    return None if error is None else {"line": found.line, "spacing_m": found.spacing_m} | asdict(error)


def _zone(zone: ZoneFigures) -> dict[str, Any]:
    shown = farm_rate(zone.ddi)
    return {
        "code": zone.code,
        "ddi": zone.ddi,
        "product": zone.product,
        "area_m2": zone.area_m2,
        "meant": shown.rate(zone.meant),
        "applied": shown.rate(zone.applied),
        "difference": shown.rate(zone.difference),
        "within_5": zone.within_5,
        "within_10": zone.within_10,
        "unit": shown.unit,
    }


def _rate(rate: RateFigures) -> dict[str, Any]:
    found = farm_rate(rate.ddi, "metric")
    return {
        "ddi": rate.ddi,
        "name": entry(rate.ddi).plain_name,
        "basis": basis_of(rate.ddi, found.unit),
        "part": rate.part,
        "unit": found.unit,
        "area_m2": rate.area_m2,
        "mean": found.rate(rate.mean),
        "minimum": found.rate(rate.minimum),
        "maximum": found.rate(rate.maximum),
        "target_mean": None if rate.target_mean is None else found.rate(rate.target_mean),
        "within_10_percent": rate.within_10_percent,
        "product_unit": found.product_unit,
        "applied": found.product(rate.applied),
        "per_worked_area": None if rate.per_worked_m2 is None else found.rate(rate.per_worked_m2),
        "on_double": found.product(rate.on_double),
        "logged_total": None if rate.logged_total is None else found.product(rate.logged_total),
    }
