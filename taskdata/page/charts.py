"""Small charts of field work as plain SVG: rates over time and over ground, and speed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from taskdata.dataclass import dataclass
from taskdata.geometry.metres import steps
from taskdata.model.dataset import Dataset
from taskdata.page import markup
from taskdata.page.wording import Wording
from taskdata.quantities.by_area import farm_rate
from taskdata.results.coverage import Coverage
from taskdata.results.driving import CrossTrackError, LineFollowing, PassToPass

_WIDTH, _HEIGHT, _LEFT, _LOW = 320.0, 150.0, 46.0, 22.0
_BINS = 60
_BARS = 16
_FASTEST_M_S = 25.0
Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Curve:
    """Values over time: hours from the first one, values, and whether the line is dashed."""

    hours: Floats
    values: Floats
    dashed: bool = False


def task_charts(task: Coverage, dataset: Dataset, word: Wording) -> str:
    """Return the charts of a task, empty where its logs hold nothing to draw."""
    found = [*_rate_charts(task, word), *_speed_chart(task, dataset, word), *_straight_chart(task, dataset, word)]
    return f'<div class="charts">{"".join(found)}</div>' if found else ""


def line_words(followed: LineFollowing, dataset: Dataset) -> str:
    """Return the name and identifier of a line that was followed, as far as it has them."""
    name = next((line.name for line in dataset.guidance if line.id == followed.line), None)
    return f"{name} ({followed.line})" if name else followed.line


def _rate_charts(task: Coverage, word: Wording) -> Iterator[str]:
    by_quantity: dict[int, list[int]] = {}
    for number, item in enumerate(task.runs):
        if item.ddi is not None and len(item.rate):
            by_quantity.setdefault(item.ddi, []).append(number)
    for ddi, numbers in by_quantity.items():
        shown = farm_rate(ddi, word.units)
        factor = float(shown.factor)
        runs = [task.runs[number] for number in numbers]
        rate, target, area = (
            np.concatenate([getattr(item, name) for item in runs]) for name in ("rate", "target", "area_m2")
        )
        begin = np.concatenate([item.begin for item in runs])
        known = np.isfinite(rate) & ~np.isnat(begin) & (area > 0.0)
        if known.sum() < 2:
            continue
        hours = _hours(begin[known])
        name = word.quantity(ddi)
        curves = [Curve(*_means(hours, rate[known] * factor, area[known]))]
        if np.isfinite(target[known]).any():
            curves.append(Curve(*_means(hours, target[known] * factor, area[known]), dashed=True))
        title = word.t("{what} over time, {unit}", what=name, unit=shown.unit)
        yield _figure(title, _lines(curves, word, title), word.t("Dashed: the target") if len(curves) > 1 else "")
        title = word.t("{what}: ground at each rate, {unit}", what=name, unit=shown.unit)
        yield _figure(title, _bars(rate[known] * factor, area[known], word, title))


def _speed_chart(task: Coverage, dataset: Dataset, word: Wording) -> Iterator[str]:
    times, speeds = [], []
    for owner in dataset.tasks:
        for log in owner.logs if owner.id in task.tasks else ():
            records = log.records
            if records is None or len(records.time) < 2:
                continue
            at = np.column_stack([records.lon, records.lat])
            seconds = np.diff(records.time).astype("timedelta64[ms]").astype(np.float64) / 1000.0
            with np.errstate(divide="ignore", invalid="ignore"):
                speed = np.hypot(*steps(at[:-1], at[1:]).T) / seconds
            good = (seconds > 0.0) & np.isfinite(speed) & (speed < _FASTEST_M_S) & ~np.isnat(records.time[1:])
            times.append(records.time[1:][good])
            speeds.append(speed[good])
    if sum(map(len, speeds)) < 2:
        return
    values = np.concatenate(speeds) * (3.6 if word.units == "metric" else 3600.0 / 1609.344)
    hours = _hours(np.concatenate(times))
    title = word.t("Speed over time, {unit}", unit="km/h" if word.units == "metric" else "mph")
    yield _figure(title, _lines([Curve(*_means(hours, values, np.ones(len(values))))], word, title))


def _straight_chart(task: Coverage, dataset: Dataset, word: Wording) -> Iterator[str]:
    """Yield how far neighbouring passes, and passes from a guidance line, lay from where they belong."""
    errors: list[tuple[PassToPass | CrossTrackError | None, str]] = [
        (task.pass_to_pass, word.t("Error from pass to pass"))
    ]
    if task.followed is not None:
        line = line_words(task.followed, dataset)
        errors.append((task.followed.error, word.t("Error across guidance line {line}", line=line)))
    for found, title in errors:
        if found is None:
            continue
        bars = ((word.t("mean"), found.mean_abs_m), ("RMS", found.rms_m), (word.t("95 % below"), found.p95_m))
        yield _figure(title, _few_bars([(name, size, word.length(size, 3)) for name, size in bars], title))


def _few_bars(bars: Sequence[tuple[str, float, str]], title: str) -> str:
    """Return bars that lie, each with its name and its value."""
    most = max((size for _, size, _ in bars), default=0.0) or 1.0
    left, row = 76.0, (_HEIGHT - _LOW) / len(bars)
    found = []
    for number, (name, size, value) in enumerate(bars):
        y, width = number * row + 8.0, size / most * (_WIDTH - left - 64.0)
        found.append(
            f'<rect x="{left}" y="{y:.1f}" width="{width:.1f}" height="{row - 14:.1f}" fill="currentColor" '
            f'fill-opacity="0.65"/><text x="{left - 5}" y="{y + row / 2 - 3:.1f}" text-anchor="end">'
            f'{markup.text(name)}</text><text x="{left + width + 5:.1f}" y="{y + row / 2 - 3:.1f}">'
            f"{markup.text(value)}</text>"
        )
    return (
        f'<svg viewBox="0 0 {_WIDTH:.0f} {_HEIGHT:.0f}" role="img" aria-label="{markup.text(title)}" font-size="10" '
        f'fill="currentColor">{"".join(found)}</svg>'
    )


def _hours(moments: NDArray[np.datetime64]) -> Floats:
    milliseconds: Floats = (moments - moments.min()).astype("timedelta64[ms]").astype(np.float64)
    return milliseconds / 3_600_000.0


def _means(hours: Floats, values: Floats, weights: Floats) -> tuple[Floats, Floats]:
    """Return the weighted means of values in equal spans of time; spans without a value are NaN."""
    span = max(float(hours.max()), 1e-6)
    number = np.minimum((hours / span * _BINS).astype(int), _BINS - 1)
    good = np.isfinite(values)
    weight = np.bincount(number[good], weights[good], minlength=_BINS)
    total = np.bincount(number[good], (values * weights)[good], minlength=_BINS)
    with np.errstate(divide="ignore", invalid="ignore"):
        return (np.arange(_BINS) + 0.5) * span / _BINS, total / weight


def _lines(curves: Sequence[Curve], word: Wording, title: str) -> str:
    finite = np.concatenate([curve.values[np.isfinite(curve.values)] for curve in curves])
    low, high = min(0.0, float(finite.min())), max(float(finite.max()), 1e-9)
    end = max(float(curve.hours.max()) for curve in curves)
    paths = []
    for curve in curves:
        x = _LEFT + curve.hours / end * (_WIDTH - _LEFT - 4.0)
        y = _HEIGHT - _LOW - (curve.values - low) / (high - low) * (_HEIGHT - _LOW - 8.0)
        runs = np.split(np.column_stack([x, y]), np.flatnonzero(~np.isfinite(y)))
        shown = [run[np.isfinite(run).all(axis=1)] for run in runs]
        path = "".join(f"M{'L'.join(f'{a:.1f} {b:.1f}' for a, b in run.tolist())}h.1" for run in shown if len(run))
        dash = ' stroke-dasharray="4 3"' if curve.dashed else ""
        paths.append(f'<path d="{path}" fill="none" stroke="currentColor" stroke-width="1.6"{dash}/>')
    hours = f"{word.number(end, 1)} h"
    return _plot("".join(paths), (word.short(low), word.short(high)), ("0", hours), title)


def _bars(rates: Floats, areas: Floats, word: Wording, title: str) -> str:
    """Return how much ground got which rate; what lies beyond the outermost hundredths counts with them."""
    low, high = np.quantile(rates, [0.01, 0.99]).tolist()
    if high <= low:
        low, high = low - 0.5, low + 0.5
    number = np.clip(((rates - low) / (high - low) * _BARS).astype(int), 0, _BARS - 1)
    ground = np.bincount(number, areas, minlength=_BARS)
    step = (_WIDTH - _LEFT - 4.0) / _BARS
    tall = _HEIGHT - _LOW - 8.0
    bars = "".join(
        f'<rect x="{_LEFT + index * step + 1:.1f}" y="{_HEIGHT - _LOW - size / ground.max() * tall:.1f}" '
        f'width="{step - 2:.1f}" height="{size / ground.max() * tall:.1f}" fill="currentColor" fill-opacity="0.65"/>'
        for index, size in enumerate(ground.tolist())
        if size
    )
    return _plot(bars, ("0", word.area(float(ground.max()))), (word.short(low), word.short(high)), title)


def _plot(content: str, upright: tuple[str, str], across: tuple[str, str], title: str) -> str:
    low = _HEIGHT - _LOW
    axis = f'<path d="M{_LEFT} 4V{low}H{_WIDTH - 4}" fill="none" stroke="currentColor" stroke-opacity="0.5"/>'
    words = (
        f'<text x="{_LEFT - 4}" y="{low}" text-anchor="end">{markup.text(upright[0])}</text>'
        f'<text x="{_LEFT - 4}" y="14" text-anchor="end">{markup.text(upright[1])}</text>'
        f'<text x="{_LEFT}" y="{_HEIGHT - 7}">{markup.text(across[0])}</text>'
        f'<text x="{_WIDTH - 4}" y="{_HEIGHT - 7}" text-anchor="end">{markup.text(across[1])}</text>'
    )
    return (
        f'<svg viewBox="0 0 {_WIDTH:.0f} {_HEIGHT:.0f}" role="img" aria-label="{markup.text(title)}" font-size="10" '
        f'fill="currentColor">{axis}{words}{content}</svg>'
    )


def _figure(title: str, picture: str, more: str = "") -> str:
    words = f"{title}. {more}." if more else title
    return f'<figure class="chart">{picture}<figcaption>{markup.text(words)}</figcaption></figure>'
