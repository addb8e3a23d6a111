"""What the arithmetic of field work gives: frozen records in metres, square metres and seconds."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from dataclasses import field as made
from enum import StrEnum
from functools import cached_property
from typing import TYPE_CHECKING, Any

from taskdata.findings import Finding
from taskdata.records import short_repr
from taskdata.results.applied import AppliedQuantity, SectionRuns, WrittenRaster
from taskdata.results.conversion import Conversion
from taskdata.results.driving import LineFollowing, PassToPass

if TYPE_CHECKING:
    from taskdata.geometry.plane import LocalPlane


@short_repr
@dataclass(frozen=True, slots=True)
class Figures:
    """How much, how far, how fast.

    Terms are those of ASABE EP496 and D497: theoretical capacity is that of the full width, all the time, at the speed
    of work; effective capacity is the ground worked in the field time, from the first work to the last with turns and
    stops; field efficiency is their ratio.

    Parameters
    ----------
    distance_m, idle_distance_m : float
        Way of the middle of the bar while it works, and while it does not.
    working_time_s, idle_time_s : float
        Time with a section on, and without.
    field_time_s : float
        From the first work of each log to its last.
    speed_m_s : float or None
        Mean while working, over the way that is known.
    width_m : float or None
        Working width.
    spacing_m : float or None
        Effective width: working width less overlap, or plus skip.
    theoretical_ha_h, capacity_ha_h, efficiency : float or None
        None where time or width is not known. The efficiency is a share, 1 = 100 %.
    """

    distance_m: float = 0.0
    idle_distance_m: float = 0.0
    working_time_s: float = 0.0
    idle_time_s: float = 0.0
    field_time_s: float = 0.0
    speed_m_s: float | None = None
    width_m: float | None = None
    spacing_m: float | None = None
    theoretical_ha_h: float | None = None
    capacity_ha_h: float | None = None
    efficiency: float | None = None


@short_repr
@dataclass(frozen=True, slots=True)
class RateFigures:
    """One rate, weighted by the ground it went on; physical values of the data dictionary per square metre.

    Parameters
    ----------
    ddi : int
        The actual rate.
    part : str or None
        What delivers it.
    target_ddi : int or None
        Its setpoint, where it was logged.
    unit : str
        Unit of the rate in the dictionary, such as ``mm³/m²``.
    area_m2 : float
        Ground that it went on, overlaps counted each time.
    mean, minimum, maximum : float
    target_mean : float or None
        Mean setpoint over the same ground.
    within_10_percent : float or None
        Share of that ground on which the actual rate was within 10 % of the setpoint.
    applied : float
        Product: rate times area, in mm³, mg or pieces.
    per_worked_m2 : float or None
        Product by worked area, overlaps counted once; None for a part that works on some of that ground only.
    on_double : float
        Product on ground that was worked before, at the mean rate of the places worked twice or more.
    logged_total : float or None
        Product by the machine's own total, in the same unit; None where it logged none.
    total_ddi : int or None
        Which total that is.
    """

    ddi: int
    part: str | None
    target_ddi: int | None
    unit: str
    area_m2: float
    mean: float
    minimum: float
    maximum: float
    target_mean: float | None
    within_10_percent: float | None
    applied: float
    per_worked_m2: float | None
    on_double: float
    logged_total: float | None
    total_ddi: int | None


@short_repr
@dataclass(frozen=True, slots=True)
class Interval:
    """Between what an area truly lies, 95 of 100 times, m²."""

    low: float
    high: float


@short_repr
@dataclass(frozen=True, slots=True)
class Areas:
    """Ground in m²; missed and outside are None without a field.

    ``missed_places`` counts the places that were missed, ``missed_ignored`` those of them that are too small to draw.

    ``intervals`` are by kind: ``worked``, ``double``, ``missed`` and ``outside``, those that are known. They hold what
    method, switching between records, bends and the errors of the positions leave open. ``edge_m`` is how far an edge
    may usually be off.

    ``late_missed_m2`` is missed ground that may have been worked, and ``late_outside_m2`` ground outside the field that
    may not have been, since a state changed there between two records.
    """

    field_m2: float | None = None
    worked_m2: float = 0.0
    double_m2: float = 0.0
    triple_m2: float = 0.0
    applied_m2: float = 0.0
    missed_m2: float | None = None
    outside_m2: float | None = None
    missed_places: int | None = None
    missed_ignored: int | None = None
    intervals: Mapping[str, Interval] = made(default_factory=dict)
    edge_m: float = 0.0
    late_missed_m2: float | None = None
    late_outside_m2: float | None = None

    @property
    def by_kind(self) -> dict[str, float | None]:
        """The four areas that have an interval."""
        return {
            "worked": self.worked_m2,
            "double": self.double_m2,
            "missed": self.missed_m2,
            "outside": self.outside_m2,
        }

    @property
    def uncertainty_m2(self) -> float:
        """How far the worked area may be off, m²."""
        return self._off("worked", self.worked_m2)

    @property
    def double_uncertainty_m2(self) -> float:
        """How far the area worked twice or more may be off, m²."""
        return self._off("double", self.double_m2)

    def _off(self, kind: str, value: float) -> float:
        found = self.intervals.get(kind)
        return 0.0 if found is None else max(found.high - value, value - found.low)


class Known(StrEnum):
    """All of it, what some of the logs tell, or nothing."""

    WHOLE = "whole"
    PART = "part"
    NOTHING = "nothing"


@short_repr
@dataclass(frozen=True)
class Coverage:
    """What one task, or several of one operation on a field, covered.

    Parameters
    ----------
    tasks : tuple of str
        Identifiers.
    name : str or None
        Name of the task, or of the first of them.
    field : str or None
        Identifier of the field that it was compared with.
    logs : tuple of str
        Files.
    records : int
        How many records they hold.
    devices : tuple of str
        What worked: name or identifier of each machine, the widest bar first.
    areas : Areas
    figures : Figures
    rates : tuple of RateFigures
    pass_to_pass : PassToPass or None
    followed : LineFollowing or None
        How well a guidance line was followed, where one was named.
    method : str
        How it was computed, in words.
    notes : tuple of Finding
        What is missing or was taken for granted.
    known : Known
        How much is known. In part: what was missed is not known. Nothing: no figure but that of the field counts.
    plane : LocalPlane or None
        The plane about the field and the logs that ``applied`` is in.
    draw, draw_runs, apply : callable
        Return the ground by kind, the runs of the sections, and what was applied; use `ground`, `runs` and `applied`.
    """

    tasks: tuple[str, ...]
    name: str | None
    field: str | None
    logs: tuple[str, ...]
    records: int
    areas: Areas
    figures: Figures
    rates: tuple[RateFigures, ...]
    pass_to_pass: PassToPass | None
    followed: LineFollowing | None
    method: str
    notes: tuple[Finding, ...] = ()
    devices: tuple[str, ...] = ()
    known: Known = Known.WHOLE
    plane: LocalPlane | None = None
    draw: Callable[[], dict[str, Any]] = made(default=dict, repr=False, compare=False)
    draw_runs: Callable[[], tuple[SectionRuns, ...]] = made(default=tuple, repr=False, compare=False)
    apply: Callable[[], tuple[AppliedQuantity, ...]] = made(default=tuple, repr=False, compare=False)

    @property
    def task(self) -> str:
        """The identifiers in one word."""
        return "+".join(self.tasks)

    @cached_property
    def ground(self) -> dict[str, Any]:
        """Polygons of ``worked``, ``double``, ``missed`` and ``outside`` ground, degrees WGS 84, shapely geometries.

        Missed and outside ground that late switching alone may have made is ``missed-late`` and ``outside-late``.

        Places below the size to be ignored are left out, and kinds that are not known.
        """
        return self.draw()

    @cached_property
    def runs(self) -> tuple[SectionRuns, ...]:
        """What each section swept at which rate, from when to when; for each machine, log and rate."""
        return self.draw_runs()

    @cached_property
    def applied(self) -> tuple[AppliedQuantity, ...]:
        """What was applied, a quantity of a product each; the swept ground alone where no rate was logged."""
        return self.apply()


@short_repr
@dataclass(frozen=True, slots=True)
class Covered:
    """What was covered.

    Parameters
    ----------
    source : str
        Where the tasks were read from.
    tasks : tuple of Coverage
    written : Conversion or None
        What was written of it; None where nothing was to be written.
    findings : tuple of Finding
        What reading the source found wrong.
    raster : WrittenRaster or None
        The raster of what was applied; None where none was to be written.
    """

    source: str
    tasks: tuple[Coverage, ...]
    written: Conversion | None = None
    findings: tuple[Finding, ...] = ()
    raster: WrittenRaster | None = None
