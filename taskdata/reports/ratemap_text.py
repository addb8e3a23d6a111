"""What was made of a rate map, for a person: the bill, the ground of each rate, and what has to be known."""

from __future__ import annotations

from collections.abc import Callable

from taskdata.amounts import counted
from taskdata.reports.convert_text import outcome
from taskdata.reports.inspect_text import Units, area_text
from taskdata.reports.styled import Line, wrapped
from taskdata.results.rate_maps import BillLine, MapForm, MapNote, RateMap
from taskdata.translations import N_

CAUTION = N_(
    "These rates feed a machine: the maximum on the product label, buffer zones and local rules come before the map. "
    "Check product, unit and rates on the display before work, and watch the first pass."
)
FORMS = {
    MapForm.ZONES: "treatment zones with polygons",
    MapForm.GRID_1: "a grid of zone codes (type 1)",
    MapForm.GRID_2: "a grid of rates (type 2)",
}
AMOUNTS = {"kg": "kg", "L": "L", "1": "pieces"}
SHOWN = 12

_MetresSquared = Callable[[str], str]

NOTES = {
    MapNote.FIELD_DERIVED: "The boundary of {0} is derived from the ground of the map: check it, or give --boundary.",
    MapNote.FIELD_WITHOUT_BOUNDARY: "{0} has no boundary in the set, so the map is not clipped.",
    MapNote.OUTSIDE_FIELD: "{0} of the map lies outside the field and is left out.",
    MapNote.GAPS: "{0} of the field has no rate in the map and gets the gap rate.",
    MapNote.ROWS_WITHOUT_RATE: "Rows without a rate: {0}. Their ground counts as a gap.",
    MapNote.PLAIN_QUANTITY: "Stored as {0}: the plain rate, not that of a nutrient. --quantity chooses another.",
    MapNote.CHOSEN_QUANTITY: "Stored as {0}.",
    MapNote.NEW_PRODUCT: "New product: {0}.",
    MapNote.COUNTED_OTHERWISE: "{0}: check product and unit.",
    MapNote.PART: "Set on {0}.",
    MapNote.CELL: "Cells are {0}.",
    MapNote.SCALED: "The scale and offset that {0} states were applied to its numbers.",
    MapNote.OVERLAPS: "Different rates overlap on {0}; --overlap decided.",
    MapNote.SLIVERS: "Outlines overlap by {0} in all; the first rate holds there.",
}
AREAS = {MapNote.OUTSIDE_FIELD, MapNote.GAPS, MapNote.OVERLAPS, MapNote.SLIVERS}


def notes_of(result: RateMap, units: Units = "metric") -> list[str]:
    """Return what the reader of a rate map has to know, a sentence each."""
    return [_note(result, note, fact, units) for note, fact in result.notes]


def ratemap_text(result: RateMap, units: Units = "metric", *, dry_run: bool = False) -> list[Line]:
    """Return what was made in lines of 80 columns."""
    done = "Nothing was written (dry run). The result would be:" if dry_run else f"Written: {result.target}"
    form = f"{FORMS[result.form]}; {counted(result.zones, 'zone')}"
    form += "" if result.cells is None else f", {counted(result.cells, 'cell')}"
    lines = [
        Line(f"{result.source} -> {result.target}", "heading"),
        *wrapped(done),
        *wrapped(f"Task: {result.task} for {result.field}, as {form}.", hanging=2),
        Line(""),
        Line("Totals", "heading"),
    ]
    for at, line in enumerate(result.bill):
        lines += wrapped(_bill(result, at, line, units), 2, hanging=2)
    lines += [Line(""), Line("Ground by rate", "heading"), *_rates(result, units)]
    told = notes_of(result, units)
    lines += [Line(""), *(line for text in told for line in wrapped(text, style="note", hanging=2))]
    if result.method:
        lines += [Line(""), *wrapped(result.method, style="quiet")]
    written = result.written
    lines += outcome(written.losses, written.findings, written.new_errors)
    return [*lines, Line(""), *wrapped(CAUTION, style="warning")]


def _name(result: RateMap, at: int) -> str:
    item = result.quantities[at]
    return item.product or item.name


def _bill(result: RateMap, at: int, line: BillLine, units: Units) -> str:
    unit = AMOUNTS[line.unit]
    share = round(100.0 * line.difference / line.before, 2) + 0.0 if line.before else 0.0
    text = (
        f"{_name(result, at)}: {_amount(line.after)} {unit} on {area_text(line.area_m2, units)}; the map asks for "
        f"{_amount(line.before)} {unit} ({share:+.2f} %)."
    )
    fills = line.fills
    if fills is None:
        return text
    full = f"{counted(fills.full, 'full tank or bag', 'full tanks or bags')} of {_amount(line.tank or 0.0)} {unit}"
    return f"{text} {full}, and {_amount(fills.last)} {unit}."


def _rates(result: RateMap, units: Units) -> list[Line]:
    lines: list[Line] = []
    for at in range(len(result.quantities)):
        found = [item for item in result.rates if item.quantity == at]
        if len(found) > SHOWN:
            span = f"{found[0].rate:.6g} to {found[-1].rate:.6g} {found[0].unit}"
            told = f"{_name(result, at)}: {len(found)} different rates from {span}; --json lists them."
            lines += wrapped(told, 2, hanging=2)
            continue
        named = f"{_name(result, at)}, " if len(result.quantities) > 1 else ""
        lines += [Line(f"  {named}{item.rate:.6g} {item.unit}: {area_text(item.area_m2, units)}") for item in found]
    return lines


def _note(result: RateMap, note: MapNote, fact: str, units: Units) -> str:
    if note is MapNote.RULES:
        gap, lost, outside, unit = fact.split(" ", 3)
        return f"Where the map says nothing: gaps {gap}, position lost {lost}, outside the field {outside} {unit}."
    if note is MapNote.TOTAL_CHANGED:
        line = result.bill[int(fact)]
        return (
            f"The total of {_name(result, int(fact))} changes by {_amount(line.difference)} {AMOUNTS[line.unit]}, more "
            "than 0.1 %: by rounding, or by the smallest step that can be stored."
        )
    return NOTES[note].format(area_text(float(fact), units) if note in AREAS else fact)


def _amount(value: float) -> str:
    return f"{value:,.0f}" if abs(value) >= 1000.0 else f"{value:.4g}"
