"""Time logs: what they say, record by record, and its meaning."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import field as made
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from taskdata.dataclass import dataclass
from taskdata.errors import SourceError
from taskdata.findings import Place
from taskdata.model.log_columns import LogColumn, chosen, column, physical
from taskdata.model.log_extent import LogExtent
from taskdata.model.machines import Presentation
from taskdata.quantities.presentation import Presentation as Usable
from taskdata.quantities.units import System
from taskdata.records import short_repr

DAY_ZERO = np.datetime64("1980-01-01", "ms")
"""The day from which logs count days (ISO 11783-10, 8.6.3)."""

UNREAD = "See the findings of the data set, and copy the file again from the original"


@short_repr
@dataclass(frozen=True, slots=True)
class Logged:
    """What one value index of a log means: dictionary number and part, their names, and how the device shows it."""

    ddi: int
    part: str | None = None
    name: str | None = None
    part_name: str | None = None
    presentation: Presentation | None = made(default=None, compare=False)


@short_repr
@dataclass(frozen=True, eq=False)
class LogRecords:
    """The records of a log as columns; see ``Log.quantities`` for the meaning of ``value_index``.

    Parameters
    ----------
    time : datetime64[ms] (n,)
        Local time, NaT where not available.
    lon, lat : float64 (n,)
        Degrees, NaN where not available.
    up_m : float64 (n,) or None
        Height above the ellipsoid; None when not logged.
    status : uint8 (n,) or None
        Type of position fix (PTN.D), 255 = not available.
    value_record : int64 (m,), value_index : uint8 (m,), value : int32 (m,)
        A raw value each, in the order stored; a quantity absent in a record had no new value.
    extras : dict of str to array
        Other columns that are stored, under the names of the standard, raw.
    """

    time: NDArray[np.datetime64]
    lon: NDArray[np.float64]
    lat: NDArray[np.float64]
    up_m: NDArray[np.float64] | None
    status: NDArray[np.uint8] | None
    value_record: NDArray[np.int64]
    value_index: NDArray[np.uint8]
    value: NDArray[np.int32]
    extras: dict[str, NDArray[np.generic]] = made(default_factory=dict)

    def stored(self, index: int) -> tuple[NDArray[np.int32], NDArray[np.bool_]]:
        """Return the raw value of a quantity in each record, (n,), and whether the record has one, (n,).

        Of several in one record the last counts.
        """
        chosen = self.value_index == index
        values, known = np.zeros(len(self.time), dtype=np.int32), np.zeros(len(self.time), dtype=np.bool_)
        values[self.value_record[chosen]] = self.value[chosen]
        known[self.value_record[chosen]] = True
        return values, known

    def held(self, index: int) -> tuple[NDArray[np.int32], NDArray[np.bool_]]:
        """Return the latest raw value of a quantity at each record, (n,), and whether there was one by then, (n,).

        Before there is one the first stands, where there is any.
        """
        values, known = self.stored(index)
        record = np.flatnonzero(known)
        if not len(record):
            return values, known
        spans = np.diff(record, append=len(known))
        spans[0] += record[0]
        return np.repeat(values[record], spans), np.arange(len(known)) >= record[0]


@short_repr
@dataclass(frozen=True, eq=False)
class Log:
    """A time log of a task (TLG, D.49): what it logs, and its records on demand.

    Parameters
    ----------
    file : str
        Name of its two files, without suffix.
    quantities : tuple of Logged
        What each value index means; see ``columns``.
    read, count, look, read_parts : callable
        Decodes the records; counts them, tells their extent and decodes them some at a time without keeping them. Use
        ``records``, ``length``, ``extent`` and ``parts``.
    """

    file: str
    quantities: tuple[Logged, ...]
    read: Callable[[], LogRecords | None]
    count: Callable[[], int | None] | None = None
    look: Callable[[], LogExtent | None] | None = None
    read_parts: Callable[[], Iterator[LogRecords]] | None = None
    key: int | None = None
    place: Place = made(default_factory=Place)

    @cached_property
    def records(self) -> LogRecords | None:
        """The records, decoded once; None where a file is missing or unreadable."""
        return self.read()

    @property
    def length(self) -> int | None:
        """How many whole records it holds; None where a file is missing or unreadable."""
        if self.count is not None:
            return self.count()
        return None if self.records is None else len(self.records.time)

    def parts(self) -> Iterator[LogRecords]:
        """Yield the records some at a time, each part numbered from 0, without keeping them; nothing if unreadable."""
        if self.read_parts is not None:
            yield from self.read_parts()
        elif self.records is not None:
            yield self.records

    @property
    def extent(self) -> LogExtent | None:
        """When and where it was recorded; None where a file is missing or unreadable."""
        if self.look is not None:
            return self.look()
        found = self.records
        return None if found is None else LogExtent.of(found.time, found.lon, found.lat)

    def columns(self, units: System = "metric") -> tuple[LogColumn, ...]:
        """Return the quantities that it logs, in the order of its header, each with its part and physical unit.

        Parameters
        ----------
        units : {"metric", "us"}
            Units of a farm.

        Examples
        --------
        >>> import taskdata
        >>> log = taskdata.read("samples/machine").task("TSK1").log()
        >>> for column in log.columns()[1:3]:
        ...     print(column.name, column.part, column.unit)
        Actual Volume Per Area Application Rate DET203 L/ha
        Setpoint Volume Per Area Application Rate DET203 L/ha
        """
        return tuple(
            column(index, item.ddi, (item.part, item.part_name), (units, self.presentation(index)))
            for index, item in enumerate(self.quantities)
        )

    def values(
        self, quantity: str | int | LogColumn, part: str | None = None, *, hold: bool = False, units: System = "metric"
    ) -> NDArray[np.float64]:
        """Return the physical values of a quantity, one for each record, in the unit that ``columns`` names.

        A record holds a value where it is new. Delays that a machine states between its effect and the log are not
        applied; `coverage` does that.

        Parameters
        ----------
        quantity : str, int or LogColumn
            Name, some words of it, or number in the data dictionary (ISO 11783-11): an int, or four hexadecimal digits;
            or what ``columns`` returned.
        part : str, optional
            Identifier or name of the device element, where several deliver the quantity.
        hold : bool
            Hold each value forward until the next one.
        units : {"metric", "us"}
            As for ``columns``.

        Returns
        -------
        float64 (n,)
            NaN where a record has no value, with ``hold`` only before the first one.

        Raises
        ------
        UsageError
            The log has no such quantity, or several; the error names them.
        SourceError
            Its records could not be read.

        Examples
        --------
        >>> import taskdata
        >>> log = taskdata.read("samples/machine").task("TSK1").log()
        >>> log.values("actual rate", part="DET203", hold=True)[5000:5003].round(1)
        array([196., 196., 196.])
        """
        column = chosen(self.columns(units), quantity, part, self.file)
        records = self.records
        if records is None:
            raise SourceError("the records of the log could not be read", where=self.file, remedy=UNREAD)
        raw, known = records.held(column.index) if hold else records.stored(column.index)
        return np.where(known, physical(raw, column.ddi, (units, self.presentation(column.index))), np.nan)

    def presentation(self, index: int) -> Usable | None:
        """Return how the machine shows the values of a column, by its place; None where it does not say it."""
        described = self.quantities[index].presentation
        return None if described is None else described.usable
