"""A data set as programs use it: its records, and its layers as tables and frames."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields
from typing import TYPE_CHECKING, Any, Self, Unpack

from taskdata.dataclass import dataclass
from taskdata.model import dataset as model
from taskdata.model.choice import Only
from taskdata.quantities.units import System
from taskdata.records import short_repr

if TYPE_CHECKING:
    import pyarrow as pa


@short_repr
@dataclass(frozen=True, eq=False)
class Dataset(model.Dataset):
    """Everything that was read, as records; and as tables, a layer each.

    What the attributes hold stands in ``schemas/README.md`` and at the records. Records are frozen: change them with
    ``dataclasses.replace`` and ``with_changes``, and write the result.

    Examples
    --------
    >>> import taskdata
    >>> data = taskdata.read("samples/machine")
    >>> data.field("PFD3").name
    'Schmale Äcker'
    >>> data.table("fields").num_rows
    6
    """

    @classmethod
    def of(cls, records: model.Dataset) -> Self:
        """Return a data set with the same records."""
        return cls(**{item.name: getattr(records, item.name) for item in fields(model.Dataset)})

    def table(self, layer: str, *, units: System = "metric") -> pa.Table:
        """Return a layer as a table, geometry as GeoArrow.

        Parameters
        ----------
        layer : str
            ``fields``, ``areas``, ``lines``, ``guidance_lines``, ``points``, ``treatment_zones``, ``grid_cells``,
            ``log_records`` (new values alone) or ``log_values`` (values held until the next one); their columns are
            described in ``schemas/README.md``.
        units : {"metric", "us"}
            Units of rates and of logged values.

        Returns
        -------
        pyarrow.Table
            The geometry is the last column: ``geoarrow.wkb`` with its coordinate reference system (OGC:CRS84: degrees,
            longitude first). Rates and logged values are physical: a zone has ``rate`` and ``unit``, a cell ``rate_1``,
            ``unit_1`` ..., null where no unit is known, and the integer that is stored in ``raw_value``; a log a column
            for each quantity and part, null where a record has no new value, with ``unit``, ``quantity``, ``ddi`` and
            ``part`` in the metadata of the field, the raw numbers where no unit is known. Values of a manufacturer's
            own quantity in a log are those that the machine shows.

        Raises
        ------
        UsageError
            There is no such layer, or no such units.

        Examples
        --------
        >>> import taskdata
        >>> table = taskdata.read("samples/machine").table("treatment_zones")
        >>> table.select(["task", "code", "rate", "unit"]).slice(0, 1).to_pylist()
        [{'task': 'TSK1', 'code': 1, 'rate': 200.0, 'unit': 'L/ha'}]
        """
        from taskdata.exchange.tables import layer_table

        return layer_table(self, layer, units)

    def frame(self, layer: str, *, units: System = "metric") -> Any:
        """Return a layer as a GeoDataFrame; it needs geopandas (``taskdata[geopandas]``).

        Parameters
        ----------
        layer, units
            As for ``table``.

        Returns
        -------
        geopandas.GeoDataFrame
            In EPSG:4326, longitude first; ``attrs["units"]`` holds the units of columns.

        Raises
        ------
        UsageError
            geopandas is not installed; there is no such layer, or no such units.

        Examples
        --------
        >>> import taskdata
        >>> frame = taskdata.read("samples/machine").frame("fields")
        >>> frame.loc[frame["id"] == "PFD4", "area_m2"].round().tolist()
        [25998.0]
        """
        from taskdata.exchange.tables import layer_frame

        return layer_frame(self, layer, units)

    def only(self, **choice: Unpack[Only]) -> Self:
        """Return a part of the set: what is named, with all that it needs, and nothing of other people.

        Whatever the named things refer to goes along (owners, crops, products, machines, workers, logs, grids ...), and
        so do links to them and attached files that they name. Everything else stays behind, and ``write`` knows nothing
        of it. Several names of one kind widen the choice, different kinds narrow it.

        Parameters
        ----------
        fields, tasks, customers, farms : str or iterable of str
            Identifiers or names. A field brings its tasks, a customer or farm its fields and tasks; parts
            of a field, which are fields of their own, are named by themselves.
        since, until : str or datetime.date, optional
            First and last day on which a task may begin, by its first time; tasks without a time stay behind. Alone
            they choose tasks and keep everything else.
        leave : str or iterable of str
            Kinds of things to leave out: areas, attachments, comments, crops, customers, farms, fields, grids,
            guidance, lines, links, logs, machines, points, products, tasks, times, workers, zones.
        leave_out : str or iterable of str
            Identifiers of things to leave out; a field takes its tasks with it.

        Returns
        -------
        Dataset
            ``chosen`` counts what stayed behind and notes what to know of it.

        Raises
        ------
        UsageError
            A name fits nothing, and the error names what is written most alike; or several things; a date is none.

        Examples
        --------
        >>> import taskdata
        >>> part = taskdata.read("samples/machine").only(fields="Schmale Äcker")
        >>> [task.name for task in part.tasks], part.chosen.left["fields"]
        (['Säen Schmale Äcker Süd'], 5)
        """
        from taskdata.exchange.choosing import chosen_part

        return self.of(chosen_part(self, choice))

    @classmethod
    def from_frames(
        cls, frames: Mapping[str, Any], *, base: model.Dataset | None = None, units: System = "metric"
    ) -> Self:
        """Return the data set that frames or tables make, by the name of their layer.

        Parameters
        ----------
        frames : mapping of str to GeoDataFrame or pyarrow.Table
            As ``frame`` and ``table`` return them, changed or not, or made by hand: columns that are missing are empty.
        base : Dataset, optional
            What the frames were taken from. Rows are then recognised by ``key``: changed ones change their record,
            removed ones remove it, those without a key are new; layers that are not given, and everything that has no
            layer, stay as they are. Without a base the frames are all there is.
        units : {"metric", "us"}
            In which units rates are where their table has no column ``unit``. A unit that is given counts, and
            may be any of the dimension of its quantity.

        Returns
        -------
        Dataset
            ``losses`` names what could not be taken over, ``findings`` what is wrong, such as a rate in a unit of
            another dimension; who writes it refuses such a value.

        Raises
        ------
        UsageError
            There is no such layer; a table cannot be read or lacks ``key`` beside a base, or says neither unit nor
            quantity of rates.

        Examples
        --------
        >>> import taskdata
        >>> data = taskdata.read("samples/office")
        >>> frame = data.frame("guidance_lines")
        >>> frame.loc[frame["id"] == "GPN1", "spacing_m"] = 21.0
        >>> changed = taskdata.Dataset.from_frames({"guidance_lines": frame}, base=data)
        >>> changed.guidance_line("GPN1").spacing_m
        21.0
        """
        from taskdata.exchange.tables import dataset_of_tables

        return cls.of(dataset_of_tables(frames, base, units))
