"""Coverage as a layer, or back in the set as areas of its fields."""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Literal, Unpack

import shapely

from taskdata.arguments import one_or_several
from taskdata.errors import UsageError
from taskdata.exchange.applied_layer import applied_layer
from taskdata.exchange.applied_raster import APPLIED_CELL_M, applied_view
from taskdata.exchange.convert import write
from taskdata.exchange.load import load
from taskdata.exchange.measured_layer import measured_layer
from taskdata.exchange.measured_raster import measured_view
from taskdata.exchange.rasters import RasterGoal, only_task, raster_goal, write_raster
from taskdata.exchange.targets import Target, target_of
from taskdata.exchange.write_layers import write_results
from taskdata.fieldwork.coverage.task_coverage import TaskChoice, cover_tasks
from taskdata.fieldwork.implement import MEASURED_CELL_M, Implement, Measuring, Settings, Switching, check_cell
from taskdata.fieldwork.measured.channels import unmeasured
from taskdata.file_formats.table import ISOXML
from taskdata.formats.columns import GEOMETRY, Row, from_rows
from taskdata.formats.foreign.options import Reading
from taskdata.formats.geometries import shapes
from taskdata.formats.layers.coverage import KINDS, SPEC
from taskdata.geometry.areas import in_plane
from taskdata.geometry.geodesy import line_length, polygon_area
from taskdata.geometry.loops import polygons_of
from taskdata.geometry.plane import LocalPlane
from taskdata.ledger import Loss, LossKind
from taskdata.model.dataset import Dataset
from taskdata.model.shapes import Area, AreaKind
from taskdata.phrases import phrase
from taskdata.results.applied import WrittenRaster
from taskdata.results.conversion import Conversion
from taskdata.results.coverage import Coverage, Covered

NAME_LENGTH = 32
SLIT_M, TOLERANCE_M = 0.2, 0.02


def coverage(
    data: Dataset | str | os.PathLike[str],
    *,
    task: str | Sequence[str] | None = None,
    field: str | None = None,
    together: bool = False,
    line: str | None = None,
    implement: Implement | None = None,
    device: str | None = None,
    delay_s: float | None = None,
    switching: Literal["record", "middle"] = "record",
    accuracy_m: float | None = None,
    cell_m: float | None = None,
    ignore_under_m2: float = 1.0,
    output: str | os.PathLike[str] | None = None,
    raster: str | os.PathLike[str] | None = None,
    measured: str | None = None,
    moisture: float | None = None,
    overwrite: bool = False,
    to: str | None = None,
    **reading: Unpack[Reading],
) -> Covered:
    """Return what tasks covered: worked, double, missed and outside area, rates and field work figures.

    A missed place may be one whose positions are missing; look before working it again.

    Parameters
    ----------
    data : Dataset or path
        What ``read`` returned, or what it takes. Layers without logs: their lines or points are taken for tracks when
        the implement has a width.
    task : str or sequence of str, optional
        Identifiers or names: only these tasks.
    field : str, optional
        Identifier or name of the field to compare with.
    together : bool
        Count the tasks of one operation on a field as one: those with the same product, practice or machines, or those
        named with ``task``; without a known field those that were driven close by.
    line : str, optional
        Identifier or name of a guidance line: how well it and its parallels were followed.
    implement : Implement, optional
        What is to be taken by hand in place of the device description.
    device : str, optional
        Count only this machine or part of one, by identifier or name. Default: every one whose work the log tells;
        those side by side together, those over the same strip each in a `Coverage` of its own.
    delay_s : float, optional
        Seconds after its record from which on a measured value (work state, rate) holds on the ground, negative before
        it; default what the machines state (DDI 143), with a warning, since the dictionary leaves its sign open. With
        ``measured`` it moves that quantity alone.
    switching : {"record", "middle"}
        Where a state changes that differs in two records: at the later one, or half way between them.
    accuracy_m : float, optional
        Standard deviation of a position in metres; default what is usual for the kind of fix that the log tells.
    cell_m : float, optional
        Count on a raster with cells of this size in metres; default exactly, with polygons. With ``raster`` the side of
        the cells of that file, default 5, and areas are exact.
    ignore_under_m2 : float
        Places smaller than this are counted but not drawn.
    output : path, optional
        An ISO-XML target gets the whole set with the ground as areas of its fields; another format the layers
        ``coverage`` and ``applied``, with ``measured`` also that; a file of one layer ``coverage`` alone.
    raster : path, optional
        A GeoTIFF of what one task applied: three bands for each quantity, the sum of all sweeps by the area of the
        cell, how often its ground was swept on average, and the mean setpoint of what was swept. Cells are clipped
        exactly, so that the sum over the cells is what the log says. A cell at an edge holds what fell on its part.
    measured : str, optional
        A measured quantity, such as ``yield``: its name, words of it, or its number in the data dictionary (four
        hexadecimal digits). Records of turns, stops, ground worked before, impossible speeds and values are left out,
        see `MeasuredQuantity`; ``raster`` then shows the mean of the others in each cell (default 10 m) and their
        number.
    moisture : float, optional
        Bring a mass of crop to this moisture in per cent, by its logged moisture and the dry-matter formula.
    overwrite : bool
        Allow that an existing output is replaced.
    to : str, optional
        Format of the output; default by its name.
    **reading
        As for ``read``.

    Returns
    -------
    Covered
        One `Coverage` a task that has logs, or one an operation of it where its machines follow each other; in m², m, s
        and the units of the data dictionary.

    Raises
    ------
    UsageError, SourceError, TargetError
        The call, the source or the output is at fault.

    Examples
    --------
    >>> import taskdata
    >>> (task,) = taskdata.coverage("samples/machine", task="TSK1").tasks
    >>> worked = task.areas.intervals["worked"]
    >>> round(worked.low), round(task.areas.worked_m2), round(worked.high)
    (126398, 126622, 129435)
    """
    if cell_m is not None:
        check_cell(cell_m)
    settings = Settings(
        implement or Implement(),
        cell_m if raster is None and measured is None else None,
        ignore_under_m2,
        device=device,
        delay_s=delay_s if measured is None else None,
        switching=_switching(switching),
        accuracy_m=accuracy_m,
        measuring=_measuring(measured, moisture, delay_s, cell_m),
    )
    dataset = data if isinstance(data, Dataset) else load(data, **reading).dataset
    goal = None if output is None else target_of(output, to, dataset.source)
    usual = APPLIED_CELL_M if measured is None else MEASURED_CELL_M
    tif = None if raster is None else raster_goal(raster, usual if cell_m is None else cell_m, dataset.source)
    tasks = one_or_several(task or ())
    found = cover_tasks(dataset, settings, TaskChoice(tasks, field, together, line))
    if measured is not None and not any(item.measured for item in found):
        raise unmeasured(dataset, measured, {one for item in found for one in item.tasks})
    cells = None if tif is None else _raster(dataset, found, tif, overwrite=overwrite)
    done = None if goal is None else _written(dataset, found, goal, overwrite=overwrite)
    return Covered(dataset.source, found, done, dataset.findings, cells)


def _measuring(
    quantity: str | None, moisture: float | None, delay_s: float | None, cell_m: float | None
) -> Measuring | None:
    """Return which measured quantity is to be cleaned, None where none is."""
    if quantity is None:
        if moisture is not None:
            raise UsageError("a moisture is that of a measured yield", remedy="Name the quantity with [[measured]]")
        return None
    standard = None if moisture is None else moisture / 100.0
    return Measuring(quantity, standard, delay_s, MEASURED_CELL_M if cell_m is None else cell_m)


def _raster(dataset: Dataset, found: Sequence[Coverage], goal: RasterGoal, *, overwrite: bool) -> WrittenRaster:
    """Write what the only task applied, or measured where a measured quantity was asked for."""
    measured = [item for item in found if item.measured is not None]
    task, plane = only_task(measured or [item for item in found if item.applied])
    products = {product.id: product.name for product in dataset.products}
    view = applied_view(task.applied, products) if task.measured is None else measured_view(task.measured)
    return write_raster((task, plane), view, goal, overwrite=overwrite)


def _switching(name: str) -> Switching:
    if name not in tuple(Switching):
        raise UsageError("is not a place where states switch", where=name, remedy=f"Choose {' or '.join(Switching)}")
    return Switching(name)


def _written(dataset: Dataset, found: Sequence[Coverage], goal: Target, *, overwrite: bool) -> Conversion:
    """Write the ground: back into the set, or as a layer of its own."""
    if goal.format == ISOXML:
        done = write(with_areas(dataset, found), goal.named, to=goal.format, overwrite=overwrite)
        return replace(done, losses=(*done.losses, *_homeless(found)))
    places = from_rows(SPEC, [row for item in found for row in _rows(item)])
    runs = applied_layer(found, {product.id: product.name for product in dataset.products})
    layers = {"places": places, "runs": runs}
    if any(item.measured for item in found):
        layers["measured records"] = measured_layer(found)
    losses = write_results(list(layers.values()), goal, overwrite=overwrite)
    counts = {name: layer.table.num_rows for name, layer in layers.items() if name == "places" or not goal.is_alone}
    return Conversion(dataset.source, os.fspath(goal.named), counts, tuple(losses), findings=dataset.findings)


def with_areas(dataset: Dataset, found: Sequence[Coverage]) -> Dataset:
    """Return the set with the places of each task as areas of its field, of the kind ``other``, named after kind."""
    new = {field.id: list[Area]() for field in dataset.fields}
    for item in found:
        if item.field is not None:
            new[item.field] += [thin for _, _, area in _places(item) for thin in _simple(area)]
    fields = (
        replace(field, areas=(*field.areas, *new[field.id])) if new[field.id] else field for field in dataset.fields
    )
    return dataset.with_changes(fields=tuple(fields))


def _homeless(found: Sequence[Coverage]) -> Iterator[Loss]:
    for item in found:
        if item.field is None:
            why = phrase("the task has no field that could hold its areas")
            yield Loss(LossKind.DROPPED, item.tasks[0], phrase("ground covered by {task}", task=item.task), why)


def _rows(item: Coverage) -> Iterator[Row]:
    for kind, place, area in _places(item):
        yield {
            "task": item.task,
            "field": item.field,
            "kind": kind,
            "place": place,
            "area_m2": polygon_area(area.exteriors, area.interiors),
            **_interval(kind, area, item.areas.edge_m),
            GEOMETRY: shapes.to_wkb(shapes.multipolygon([area])),
        }


def _interval(kind: str, area: Area, edge_m: float) -> dict[str, float]:
    """Return the least and the most that a place truly is: its edges lie off to one side, or late switching made it."""
    size = polygon_area(area.exteriors, area.interiors)
    around = edge_m * sum(line_length(ring) for ring in (*area.exteriors, *area.interiors))
    least = 0.0 if kind.endswith("-late") else max(0.0, size - around)
    return {"area_low_m2": least, "area_high_m2": size + around}


def _places(item: Coverage) -> Iterator[tuple[str, int, Area]]:
    """Yield kind, number and polygon of every place that is drawn, the largest of each kind first."""
    for kind in KINDS:
        parts = shapely.get_parts(item.ground[kind]) if kind in item.ground else []
        areas = [_area(part, f"{kind} {item.task}"[:NAME_LENGTH]) for part in parts]
        ordered = sorted(areas, key=lambda area: -polygon_area(area.exteriors, area.interiors))
        yield from ((kind, number, area) for number, area in enumerate(ordered, start=1))


def _simple(area: Area) -> Iterator[Area]:
    """Yield an area as terminals like it: slits and necks below `SLIT_M` go, and points within `TOLERANCE_M`."""
    plane = LocalPlane.centred_on(area.exteriors[0])
    shape = in_plane([area], plane).shape
    if shape is None:
        return
    for distance in (SLIT_M / 2.0, -SLIT_M, SLIT_M / 2.0):
        shape = shapely.buffer(shape, distance, join_style="mitre")
    for outline, holes in polygons_of(shapely.simplify(shape, TOLERANCE_M)):
        interiors = tuple(plane.inverse(hole) for hole in holes)
        yield replace(area, exteriors=(plane.inverse(outline),), interiors=interiors)


def _area(polygon: shapes.Geometry, name: str) -> Area:
    ((outline, holes),) = polygons_of(polygon)
    return Area(AreaKind.OTHER, (outline,), tuple(holes), name=name)
