"""What works of tasks applied on one field, each view of it computed when it is asked for."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property
from typing import Any

from taskdata.fieldwork.applied.quantities import planned_quantities
from taskdata.fieldwork.applied.rate_plans import RatePlan
from taskdata.fieldwork.applied.runs import section_runs
from taskdata.fieldwork.applied.zones import zone_figures
from taskdata.fieldwork.sweeps.log_work import LogWork
from taskdata.geometry.plane import LocalPlane
from taskdata.model.tasks import Task
from taskdata.results.applied import AppliedQuantity, SectionRuns, ZoneFigures


class AppliedGround:
    """What works applied.

    Parameters
    ----------
    works : sequence of (LogWork, Task or None)
        On one plane, each with the task that its log is of.
    plane : LocalPlane
    outline : shape or None
        The field in the plane.
    """

    def __init__(self, works: Sequence[tuple[LogWork, Task | None]], plane: LocalPlane, outline: Any) -> None:
        self.works, self.plane, self.outline = works, plane, outline

    @cached_property
    def _planned(self) -> list[tuple[AppliedQuantity, RatePlan | None]]:
        return planned_quantities(self.works, self.plane, self.outline)

    def quantities(self) -> tuple[AppliedQuantity, ...]:
        """Return what was applied, a quantity of a product each."""
        return tuple(item for item, _ in self._planned)

    def zones(self) -> tuple[ZoneFigures, ...]:
        """Return the figures of each zone of the rate maps, a quantity after the other."""
        return tuple(zone for item, plan in self._planned if plan is not None for zone in zone_figures(item, plan))

    def runs(self) -> tuple[SectionRuns, ...]:
        """Return what each section swept at which rate."""
        return tuple(section_runs(self.works, self.plane))
