"""What the arithmetic of field work gives: frozen records in metres, square metres and seconds."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import field as made
from enum import StrEnum
from functools import cached_property
from typing import TYPE_CHECKING, Any

from taskdata.dataclass import dataclass
from taskdata.findings import Finding
from taskdata.records import short_repr
from taskdata.results.applied import AppliedQuantity, SectionRuns, WrittenRaster, ZoneFigures
from taskdata.results.areas import Areas
from taskdata.results.conversion import Conversion
from taskdata.results.driving import LineFollowing, PassToPass
from taskdata.results.figures import Figures, RateFigures
from taskdata.results.measured import MeasuredQuantity

if TYPE_CHECKING:
    from taskdata.geometry.plane import LocalPlane


class Known(StrEnum):
    """All of it, what some of the logs tell, or nothing."""

    WHOLE = "whole"
    PART = "part"
    NOTHING = "nothing"


def _nothing() -> None:
    """Return what was measured where nothing was asked for."""


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
    draw, draw_runs, apply, compare, measure : callable
        Return the ground by kind, the runs of the sections, what was applied, that by zone, and what was measured; use
        `ground`, `runs`, `applied`, `zones` and `measured`.
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
    compare: Callable[[], tuple[ZoneFigures, ...]] = made(default=tuple, repr=False, compare=False)
    measure: Callable[[], MeasuredQuantity | None] = made(default=_nothing, repr=False, compare=False)

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

    @cached_property
    def zones(self) -> tuple[ZoneFigures, ...]:
        """What was meant and what was applied in each zone of the rate map that a task has, by quantity and code."""
        return self.compare()

    @cached_property
    def measured(self) -> MeasuredQuantity | None:
        """The measured quantity that was asked for; None where none was, or these logs hold none of it."""
        return self.measure()


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
