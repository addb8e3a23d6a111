"""What tasks covered, for a person."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from taskdata.amounts import counted, duration
from taskdata.findings import Finding, Severity
from taskdata.raised_rules.coverage.same_strip import RULE as SAME_STRIP
from taskdata.reports import words
from taskdata.reports.applied_text import RATE_CAUTION, percent, quantities_of, raster_lines, rate_text, zone_texts
from taskdata.reports.check_text import STYLES
from taskdata.reports.inspect_text import ACRE_M2, HECTARE_M2, Units, area_text, length_text
from taskdata.reports.measured import measured_texts
from taskdata.reports.reading import unread_lines
from taskdata.reports.remembered import remembered_lines
from taskdata.reports.styled import Line, wrapped
from taskdata.results.applied import WrittenRaster
from taskdata.results.areas import Areas
from taskdata.results.coverage import Coverage, Known
from taskdata.results.driving import AccuracyClass, LineFollowing, PassToPass, accuracy_class
from taskdata.results.figures import Figures

KM_H, MPH = 3.6, 3600.0 / 1609.344
FOOT_M2 = 0.3048**2
CAUTION = (
    "A missed spot may be one without recorded positions: look before you work it again, and obey the product label "
    "before you apply anything twice."
)
NOTHING = (
    "No task in this source has a log. In layers without logs, lines and points at two positions or more count as "
    "tracks if --width is given."
)
_LEAST_M2 = 0.5
LISTED = 6
"""The most names that are listed of what a note also applies to."""

CLASSES = {
    AccuracyClass.RTK: "that is usual for real-time kinematic (RTK) correction",
    AccuracyClass.CORRECTED: "that is usual for satellite-based correction with a good antenna and receiver",
    AccuracyClass.PLAIN: "that is usual for free satellite-based correction with a plain antenna",
    AccuracyClass.BELOW: "that is poorer than free satellite-based correction usually gives",
}


def coverage_text(
    source: str,
    tasks: Sequence[Coverage],
    units: Units = "metric",
    findings: Sequence[Finding] = (),
    raster: WrittenRaster | None = None,
) -> list[Line]:
    """Return what tasks covered in lines of 80 columns; what reading found unreadable stands first."""
    lines = [Line(source, "heading"), *unread_lines(findings)]
    if not tasks:
        return [*lines, *wrapped(NOTHING)]
    for item in tasks:
        lines += [Line(""), *_task(item, units)]
    remembered = remembered_lines(ddi for item in tasks for rate in item.rates for ddi in quantities_of(rate))
    lines += [Line(""), *remembered] if remembered else []
    lines += [] if raster is None else [Line(""), *raster_lines(raster)]
    if raster is not None or any(item.rates for item in tasks):
        lines += [Line(""), *wrapped(RATE_CAUTION, style="quiet")]
    return [*lines, Line(""), *wrapped(CAUTION, style="quiet")]


def warnings_of(tasks: Sequence[Coverage]) -> list[str]:
    """Return what is said of all tasks beside their figures, a sentence or two each."""
    return [text for item in tasks for text, _ in _told(item.notes)] if tasks else [NOTHING]


def _task(item: Coverage, units: Units) -> Iterator[Line]:
    where = f", field {item.field}" if item.field else ""
    yield from wrapped(f"{item.task}  {item.name or 'unnamed'}{where}", style="heading", hanging=2)
    records = f"{words.counted(item.records, 'record')} in {', '.join(item.logs) or 'no log'}"
    yield from wrapped(records, 2, hanging=2)
    if len(item.devices) > 1 or any(note.rule is SAME_STRIP for note in item.notes):
        yield from wrapped(f"Worked by {' and '.join(item.devices)}.", 2, hanging=2)
    straight = (*_passes(item.pass_to_pass, item.figures.width_m, units), *_followed(item.followed, units))
    figures = () if not item.records else _figures(item.figures, units, known=item.known is not Known.NOTHING)
    for text in (*_areas(item.areas, item.known, units), *figures, *straight):
        yield from wrapped(text, 2, hanging=2)
    for rate in item.rates:
        yield from wrapped(rate_text(rate, units), 2, hanging=2)
    for text in zone_texts(item.zones, units):
        yield from wrapped(text, 2, hanging=2)
    for text in measured_texts(item.measured, units):
        yield from wrapped(text, 2, hanging=2)
    yield from _notes(item.notes)
    yield from wrapped(f"Method: {item.method}.", 2, style="quiet", hanging=2)


def _notes(notes: Sequence[Finding]) -> Iterator[Line]:
    for text, severity in _told(notes):
        yield from wrapped(f"{str(severity).upper()}  {text}", 2, style=STYLES[severity], hanging=2)


def _told(notes: Sequence[Finding]) -> Iterator[tuple[str, Severity]]:
    """Yield what is said of a task, gravest first; notes that say the same of several things are one."""
    alike: dict[tuple[object, ...], list[Finding]] = {}
    for note in sorted(notes, key=lambda finding: finding.severity.rank):
        subject = _subject(note)
        others = tuple((name, fact) for name, fact in note.facts.items() if name != subject)
        alike.setdefault((note.rule.id, note.severity, *others), []).append(note)
    for first, *more in alike.values():
        names = dict.fromkeys(words.spoken(note.facts[_subject(note)]) for note in more)
        same = f" The same applies to {_listed(list(names))}." if more else ""
        yield f"{words.message(first)} {words.remedy(first)}{same}", first.severity


def _subject(note: Finding) -> str:
    """Return the fact that names what a note is about."""
    return next(name for name in ("file", "element", "name") if name in note.facts)


def _listed(names: Sequence[str]) -> str:
    if len(names) > LISTED:
        return f"{', '.join(names[: LISTED - 1])} and {len(names) - LISTED + 1} more"
    return " and ".join([", ".join(names[:-1]), names[-1]] if len(names) > 1 else names)


def _areas(areas: Areas, known: Known, units: Units) -> Iterator[str]:
    if known is Known.NOTHING:
        yield "It is not known what was worked, missed or worked twice."
        return
    worked = f"Worked {area_text(areas.worked_m2, units)}"
    if areas.field_m2:
        worked += f" of {area_text(areas.field_m2, units)}"
    yield f"{worked}{_between(areas, 'worked', units)}."
    share = f" ({percent(areas.double_m2 / areas.worked_m2)} of the worked area)" if areas.worked_m2 else ""
    yield (
        f"Worked twice or more: {area_text(areas.double_m2, units)}{share}"
        f"{_between(areas, 'double', units)}; three times or more: {area_text(areas.triple_m2, units)}; "
        f"all sweeps together: {area_text(areas.applied_m2, units)}."
    )
    if areas.missed_m2 is not None and areas.field_m2 and areas.outside_m2 is not None:
        places = words.counted((areas.missed_places or 0) - (areas.missed_ignored or 0), "place")
        small = f" and {areas.missed_ignored} too small to draw" if areas.missed_ignored else ""
        yield (
            f"Missed: {area_text(areas.missed_m2, units)} ({percent(areas.missed_m2 / areas.field_m2)} of the field) "
            f"in {places}{small}{_between(areas, 'missed', units)}. "
            f"Outside the field: {area_text(areas.outside_m2, units)}{_between(areas, 'outside', units)}."
        )
        yield from _late(areas, units)
    elif areas.field_m2 and areas.outside_m2 is not None:
        yield f"Missed: not known. Outside the field: {area_text(areas.outside_m2, units)}."


def _between(areas: Areas, kind: str, units: Units) -> str:
    found = areas.intervals.get(kind)
    return "" if found is None else f", between {area_text(found.low, units)} and {area_text(found.high, units)}"


def _late(areas: Areas, units: Units) -> Iterator[str]:
    """Yield what late switching alone may have made."""
    missed, outside = areas.late_missed_m2 or 0.0, areas.late_outside_m2 or 0.0
    if missed < _LEAST_M2 and outside < _LEAST_M2:
        return
    share = percent(missed / areas.missed_m2) if areas.missed_m2 else "0 %"
    yield (
        f"Possibly late switching: up to {area_text(missed, units)} of the missed ground ({share}) and "
        f"{area_text(outside, units)} of the ground outside the field. The log gives states only at its records; "
        "these spots are written separately."
    )


def _figures(figures: Figures, units: Units, *, known: bool) -> Iterator[str]:
    if known:
        way, idle = (_way(metres, units) for metres in (figures.distance_m, figures.idle_distance_m))
        yield f"Distance: {way} working, {idle} not working."
    if figures.field_time_s:
        spans = (figures.working_time_s, figures.idle_time_s, figures.field_time_s)
        busy, rest, field = map(duration, spans)
        yield f"Time: {busy} working, {rest} not working; {field} from the first work to the last."
    if figures.width_m is not None and figures.spacing_m is not None:
        speed = "" if figures.speed_m_s is None else f"Working speed: {_speed(figures.speed_m_s, units)}; "
        width = f"{'width' if speed else 'Width'} {length_text(figures.width_m, units, 2)}"
        apart = (
            f", passes {length_text(figures.spacing_m, units, 2)} apart" if figures.spacing_m != figures.width_m else ""
        )
        yield f"{speed}{width}{apart}."
    if None not in (figures.theoretical_ha_h, figures.capacity_ha_h, figures.efficiency):
        yield (
            f"Capacity (ASABE EP496): theoretical {_capacity(figures.theoretical_ha_h or 0.0, units)}, effective "
            f"{_capacity(figures.capacity_ha_h or 0.0, units)}; field efficiency {percent(figures.efficiency or 0.0)}."
        )


def _passes(found: PassToPass | None, width: float | None, units: Units) -> Iterator[str]:
    if found is not None and width is not None and not found.spacing_stated and found.spacing_m != width:
        apart, more = length_text(found.driven_m, units, 2), length_text(abs(found.driven_m - width), units, 2)
        kind = "an overlap" if found.driven_m < width else "a skip"
        yield (
            f"Passes lie {apart} apart on average, {more} {'less' if found.driven_m < width else 'more'} than the "
            f"width, as if {kind} was set in the cab."
        )
    if found is not None:
        mean, rms, most = (length_text(metres, units, 3) for metres in (found.mean_abs_m, found.rms_m, found.p95_m))
        apart = length_text(found.spacing_m, units, 2)
        yield (
            f"Pass to pass (ISO 12188-1): mean {mean}, RMS {rms}, 95 % below {most}, over "
            f"{words.counted(found.pairs, 'pair')} meant to be {apart} apart; {CLASSES[accuracy_class(found.p95_m)]}."
        )


def _followed(found: LineFollowing | None, units: Units) -> Iterator[str]:
    if found is None:
        return
    apart = "" if found.spacing_m is None else f" and its parallels every {length_text(found.spacing_m, units, 2)}"
    error = found.error
    if error is None:
        yield f"Against line {found.line}{apart}: no pass runs along it."
        return
    size, rms, most, off = (
        length_text(abs(metres), units, 3) for metres in (error.mean_abs_m, error.rms_m, error.p95_m, error.mean_m)
    )
    side = "right" if error.mean_m >= 0.0 else "left"
    over = counted(error.passes, "pass", "passes")
    others = f" ({counted(error.others, 'pass', 'passes')} between them left out)" if error.others else ""
    yield (
        f"Against line {found.line}{apart}: mean {size}, RMS {rms}, 95 % below {most}, on average {off} to the {side} "
        f"of the line's direction, over {over}{others}; {CLASSES[accuracy_class(error.p95_m)]}."
    )


def _way(metres: float, units: Units) -> str:
    return f"{metres / 1000.0:.2f} km" if units == "metric" else f"{metres / 1609.344:.2f} mi"


def _speed(metres_a_second: float, units: Units) -> str:
    return f"{metres_a_second * KM_H:.1f} km/h" if units == "metric" else f"{metres_a_second * MPH:.1f} mph"


def _capacity(hectares_an_hour: float, units: Units) -> str:
    if units == "metric":
        return f"{hectares_an_hour:.2f} ha/h"
    return f"{hectares_an_hour * HECTARE_M2 / ACRE_M2:.2f} ac/h"
