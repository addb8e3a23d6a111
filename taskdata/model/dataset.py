"""The whole set: one model, whatever the format it was read from."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import field as made
from dataclasses import replace
from typing import Any, Self

from taskdata.dataclass import dataclass
from taskdata.findings import Finding, Unread, unread_of
from taskdata.ledger import Loss
from taskdata.model.choice import Chosen
from taskdata.model.fields import Customer, Farm, Field, GuidanceLine
from taskdata.model.lookup import one_of
from taskdata.model.machines import Crop, Machine, Product, Worker
from taskdata.model.shapes import Area, Line, Point
from taskdata.model.tasks import Task
from taskdata.records import short_repr


@short_repr
@dataclass(frozen=True, eq=False)
class Dataset:
    """Everything that was read, as records.

    Parameters
    ----------
    source : str
        Path as the user gave it.
    format : str
        ``isoxml``, ``geojson``, ``shapefile``, ``gpkg`` or ``parquet``.
    version : (int, int) or None
        Major and minor version of the standard.
    origin : str or None
        ``FMIS`` (office software) or ``MICS`` (machine), the last writer.
    counts : dict of str to int
        How many elements of each tag a task data set holds.
    customers, farms, fields, products, workers, machines, tasks, crops : tuple of record
        In the order of the source.
    noted : tuple of Finding
        What reading found wrong at once.
    losses : tuple of Loss
        What of the source could not be taken over, such as columns and edits that the model has no place for.
    examine : callable or None
        Reads the files that are otherwise read on demand, and returns what is wrong with them; use ``findings``.
    lossless : object or None
        The document behind the records, where there is one; opaque to this floor and to the formats.
    as_read : dict of str to tuple
        The records as they were made of that document, by attribute.
    chosen : Chosen or None
        What stayed behind where this is a chosen part of a set.
    """

    source: str
    format: str
    version: tuple[int, int] | None = None
    origin: str | None = None
    counts: dict[str, int] = made(default_factory=dict, repr=False)
    customers: tuple[Customer, ...] = ()
    farms: tuple[Farm, ...] = ()
    fields: tuple[Field, ...] = ()
    products: tuple[Product, ...] = ()
    workers: tuple[Worker, ...] = ()
    crops: tuple[Crop, ...] = ()
    machines: tuple[Machine, ...] = ()
    tasks: tuple[Task, ...] = ()
    noted: tuple[Finding, ...] = ()
    losses: tuple[Loss, ...] = ()
    examine: Callable[[], tuple[Finding, ...]] | None = None
    lossless: object | None = None
    as_read: Mapping[str, tuple[object, ...]] = made(default_factory=dict, repr=False)
    chosen: Chosen | None = None

    @property
    def changed(self) -> bool:
        """Whether records were changed since they were made of the document behind them."""
        return any(getattr(self, name) is not records for name, records in self.as_read.items())

    @property
    def is_empty(self) -> bool:
        """Whether it holds no owner, field or task."""
        return not (self.customers or self.farms or self.fields or self.tasks)

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What reading found wrong, in the files that are read on demand too: those that were not read yet are now."""
        return self.noted if self.examine is None else (*self.noted, *self.examine())

    @property
    def unread(self) -> tuple[Unread, ...]:
        """What the source names and could not be read, whole or in part: a file each, what it is, and why."""
        return unread_of(self.findings)

    @property
    def guidance(self) -> tuple[GuidanceLine, ...]:
        """Every guidance line of every field: the patterns of its groups, then those that it keeps as plain lines."""
        return tuple(line for item in self.fields for line in (*item.guidance, *item.line_guidance))

    @property
    def areas(self) -> tuple[Area, ...]:
        """Every area of every field besides boundaries."""
        return tuple(area for item in self.fields for area in item.areas)

    @property
    def lines(self) -> tuple[Line, ...]:
        """Every line of every field besides guidance patterns."""
        return tuple(line for item in self.fields for line in item.lines)

    @property
    def points(self) -> tuple[Point, ...]:
        """Every point of every field."""
        return tuple(point for item in self.fields for point in item.points)

    def field(self, name: str) -> Field:
        """Return a field by its identifier or name.

        Raises
        ------
        UsageError
            There is none, and the error names those that are written most alike; or several have that name. So for the
            other kinds of records.

        Examples
        --------
        >>> import taskdata
        >>> data = taskdata.read("samples/machine")
        >>> data.field("Schmale Äcker").id
        'PFD3'
        """
        return one_of(self.fields, name, "field")

    def guidance_line(self, name: str) -> GuidanceLine:
        """Return a guidance line by its identifier or name; see ``field``."""
        return one_of(self.guidance, name, "guidance line")

    def task(self, name: str) -> Task:
        """Return a task by its identifier or name; see ``field``."""
        return one_of(self.tasks, name, "task")

    def machine(self, name: str) -> Machine:
        """Return a machine by its identifier or name; see ``field``."""
        return one_of(self.machines, name, "machine")

    def product(self, name: str) -> Product:
        """Return a product by its identifier or name; see ``field``."""
        return one_of(self.products, name, "product")

    def with_changes(self, **changes: Any) -> Self:
        """Return a copy with some attributes replaced."""
        return replace(self, **changes)
