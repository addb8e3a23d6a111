"""Planned and done work: tasks, zones with setpoints, grids, logs."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import field as made
from enum import IntEnum
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from taskdata.dataclass import dataclass
from taskdata.errors import UsageError
from taskdata.findings import Place
from taskdata.model.logs import Log
from taskdata.model.lookup import nearest
from taskdata.model.machines import Presentation
from taskdata.model.shapes import Area
from taskdata.model.swaths import Swath
from taskdata.records import short_repr


class TaskStatus(IntEnum):
    """State of a task (ISO 11783-10 D.46)."""

    PLANNED = 1
    RUNNING = 2
    PAUSED = 3
    COMPLETED = 4
    TEMPLATE = 5
    CANCELLED = 6


@short_repr
@dataclass(frozen=True, slots=True)
class Setpoint:
    """A wanted value of a zone or cell (PDV, D.41).

    Parameters
    ----------
    ddi, value : int
        Number in the data dictionary, and raw value.
    product, part : str or None
        Identifiers of what it is for, and of the device element that takes it.
    presentation : Presentation or None
        How the set shows it.
    """

    ddi: int
    value: int
    product: str | None = None
    part: str | None = None
    presentation: Presentation | None = made(default=None, compare=False)


@short_repr
@dataclass(frozen=True, eq=False)
class Zone:
    """A treatment zone (TZN, D.50). Rates feed machines: obey the product label.

    Parameters
    ----------
    code : int
        Number in its task; cells of a grid refer to it.
    name : str or None
        Designator.
    colour : int or None
        Number in the palette of the standard.
    areas : tuple of Area
        Its polygons; it may have none.
    setpoints : tuple of Setpoint
        What is wanted there.
    """

    code: int
    name: str | None = None
    colour: int | None = None
    areas: tuple[Area, ...] = ()
    setpoints: tuple[Setpoint, ...] = ()
    key: int | None = None
    place: Place = made(default_factory=Place)


@short_repr
@dataclass(frozen=True, eq=False)
class Grid:
    """A grid of cells over a field; cells run east along a row, rows run north (ISO 11783-10, 8.6.2).

    Parameters
    ----------
    kind : int
        1: each cell holds the code of a zone. 2: each cell holds a value per setpoint of the zone ``template``.
    min_lat, min_lon, cell_lat, cell_lon : float
        South-west corner and size of a cell in degrees.
    columns, rows : int
        As stated.
    read : callable
        Returns the cells: uint8 (rows, columns) for kind 1, int32 (rows, columns, n) for kind 2, or None where the
        binary file is missing, too short or unreadable. Use ``cells``.
    setpoints : tuple of Setpoint
        Of kind 2: what the values of a cell mean, in order.
    """

    file: str
    kind: int
    min_lat: float
    min_lon: float
    cell_lat: float
    cell_lon: float
    columns: int
    rows: int
    read: Callable[[], NDArray[np.generic] | None]
    template: int | None = None
    setpoints: tuple[Setpoint, ...] = ()
    key: int | None = None
    place: Place = made(default_factory=Place)

    @cached_property
    def cells(self) -> NDArray[np.generic] | None:
        """The cells, read once."""
        return self.read()


@short_repr
@dataclass(frozen=True, slots=True)
class WorkTime:
    """A span of a task: ``kind`` is TIM.D (1 planned, 4 effective, ...), stamps are texts of the standard."""

    kind: int
    start: str | None
    stop: str | None = None
    duration_s: int | None = None


@short_repr
@dataclass(frozen=True, slots=True)
class Connection:
    """Two machines hitched together: identifiers of a machine and of its connector, twice (CNN)."""

    machine: str
    connector: str
    other_machine: str
    other_connector: str


@short_repr
@dataclass(frozen=True, eq=False)
class Task:
    """A piece of work, planned or done (TSK, D.46); references are identifiers.

    Parameters
    ----------
    id, name : str
        Identifier such as ``TSK1``, and designator (or None).
    status : TaskStatus or None
        Planned, running, completed ...
    customer, farm, field, worker : str or None
        Whom and what it is for, and who is responsible.
    default_zone, position_lost_zone, out_of_field_zone : int or None
        Codes of zones.
    zones : tuple of Zone
    grid : Grid or None
    logs : tuple of Log
    times : tuple of WorkTime
        Spans of work, planned and done.
    machines, products, workers : tuple of str
        What and who was allocated.
    connections : tuple of Connection
        What was hitched to what.
    practice : str or None
        Cultural practice of its first operation.
    swaths : tuple of Swath
        Passes that were recovered from coverage; the logs are made of them then.
    worked : tuple of Area
        Ground of that coverage, its polygons joined.
    """

    id: str
    status: TaskStatus | None
    name: str | None = None
    customer: str | None = None
    farm: str | None = None
    field: str | None = None
    worker: str | None = None
    default_zone: int | None = None
    position_lost_zone: int | None = None
    out_of_field_zone: int | None = None
    zones: tuple[Zone, ...] = ()
    grid: Grid | None = None
    logs: tuple[Log, ...] = ()
    times: tuple[WorkTime, ...] = ()
    machines: tuple[str, ...] = ()
    products: tuple[str, ...] = ()
    workers: tuple[str, ...] = ()
    connections: tuple[Connection, ...] = ()
    practice: str | None = None
    swaths: tuple[Swath, ...] = ()
    worked: tuple[Area, ...] = ()
    key: int | None = None
    place: Place = made(default_factory=Place)

    def log(self, file: str | None = None) -> Log:
        """Return a log by the name of its file; without a name the only one.

        Raises
        ------
        UsageError
            The task has no such log, or several and none is named.

        Examples
        --------
        >>> import taskdata
        >>> taskdata.read("samples/machine").task("TSK1").log("TLG00001").length
        11798
        """
        wanted = None if file is None else file.upper().removesuffix(".BIN").removesuffix(".XML")
        found = [item for item in self.logs if wanted is None or item.file.upper() == wanted]
        if len(found) == 1:
            return found[0]
        known = [item.file for item in self.logs]
        if file is not None:
            raise UsageError("the task has no such log", where=file, remedy=nearest(file, known))
        what = f"has {len(known) or 'no'} logs"
        raise UsageError(what, where=self.id, remedy=f"Name one of: {', '.join(known)}" if known else None)
