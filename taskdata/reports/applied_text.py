"""What was applied, for a person: rates, and the raster that shows them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from taskdata.quantities.by_area import farm_rate
from taskdata.quantities.dictionary import entry
from taskdata.reports.inspect_text import Units, area_text
from taskdata.reports.styled import Line, wrapped
from taskdata.results.applied import WrittenRaster, ZoneFigures
from taskdata.results.figures import RateFigures
from taskdata.translations import N_

RATE_CAUTION = N_(
    "Rates and amounts are what the machine logged: compare them with what was used. Before anything is applied again, "
    "the product label and local rules come first."
)


def rate_text(rate: RateFigures, units: Units) -> str:
    """Return what is said of a rate."""
    found = farm_rate(rate.ddi, units)
    part = f" ({rate.part})" if rate.part else ""
    text = (
        f"{entry(rate.ddi).plain_name}{part}: mean {number_text(found.rate(rate.mean))} {found.unit} over the "
        f"{area_text(rate.area_m2, units)} of its own sweeps, from {number_text(found.rate(rate.minimum))} to "
        f"{number_text(found.rate(rate.maximum))}"
    )
    if rate.target_mean is not None and rate.within_10_percent is not None:
        text += (
            f"; target {number_text(found.rate(rate.target_mean))}, within 10 % on {percent(rate.within_10_percent)}"
        )
    text += f". Product: {number_text(found.product(rate.applied))} {found.product_unit}"
    if rate.per_worked_m2 is not None:
        text += f", {number_text(found.rate(rate.per_worked_m2))} {found.unit} of worked ground"
    text += f"; {number_text(found.product(rate.on_double))} {found.product_unit} on ground already worked"
    if rate.logged_total is not None:
        text += f"; the machine counted {number_text(found.product(rate.logged_total))} {found.product_unit}"
    return f"{text}."


def quantities_of(rate: RateFigures) -> Iterator[int]:
    """Yield the quantities whose numbers are shown with a rate."""
    yield from (ddi for ddi in (rate.ddi, rate.target_ddi, rate.total_ddi) if ddi is not None)


def zone_texts(zones: Sequence[ZoneFigures], units: Units) -> Iterator[str]:
    """Yield what is said of the rate map and of each zone of it that was worked."""
    if zones:
        yield "Against the rate map, on worked ground, all sweeps together:"
    for zone in zones:
        shown = farm_rate(zone.ddi, units)
        meant, applied, off = (shown.rate(value) for value in (zone.meant, zone.applied, abs(zone.difference)))
        share = f" ({percent(abs(zone.difference) / zone.meant)})" if zone.meant else ""
        side = "more" if zone.difference > 0.0 else "less"
        yield (
            f"Zone {zone.code}{f', {zone.product}' if zone.product else ''}, {area_text(zone.area_m2, units)}: meant "
            f"{number_text(meant)} {shown.unit}, applied {number_text(applied)}, {number_text(off)} {side}{share}; "
            f"within 5 % on {percent(zone.within_5)} and within 10 % on {percent(zone.within_10)} of it."
        )


def raster_lines(raster: WrittenRaster) -> Iterator[Line]:
    """Yield what a raster holds."""
    size = f"{raster.columns} x {raster.rows} cells of {raster.cell_m:g} m"
    yield from wrapped(f"Written: {raster.target}, {raster.task} in {size}, {raster.crs}.", hanging=2)
    for number, band in enumerate(raster.bands, start=1):
        unit = "" if band.unit == "1" else f", {band.unit}"
        total = "" if band.total is None else f"; {number_text(band.total)} {band.total_unit} in all"
        yield from wrapped(f"Band {number}: {band.description}{unit}{total}.", 2, hanging=2)


def percent(share: float) -> str:
    """Return a share of one in per cent."""
    return f"{100.0 * share:.1f} %"


def number_text(value: float) -> str:
    """Return a number with four digits, or all before the point."""
    return f"{value:.4g}" if abs(value) < 1000.0 else f"{value:.0f}"
