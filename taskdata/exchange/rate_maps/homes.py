"""The set and the field that a rate map goes into: one of a set that is there, or a new one."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import shapely

from taskdata.dataclass import dataclass
from taskdata.errors import UsageError
from taskdata.exchange.adapting import TargetOptions, adapt_document
from taskdata.exchange.behind import document_behind
from taskdata.exchange.load import load
from taskdata.exchange.rate_maps.layers import read_features
from taskdata.fieldwork.field_ground import ground_of
from taskdata.file_formats.table import ISOXML
from taskdata.findings import Finding
from taskdata.formats.foreign.options import TakeOptions
from taskdata.formats.geometries import shapes
from taskdata.geometry.arrays import Points
from taskdata.geometry.geodesy import ring_area
from taskdata.geometry.patches import Shapes, in_metres, merged, ring_points, solid_parts
from taskdata.geometry.plane import LocalPlane
from taskdata.isoxml.to_model.dataset import to_dataset
from taskdata.model.dataset import Dataset
from taskdata.model.fields import Field
from taskdata.model.lookup import label, one_of
from taskdata.model.shapes import Area, AreaKind
from taskdata.rates.ground import Notes
from taskdata.results.rate_maps import MapNote

MOST_M = 50_000.0
"""Length of a field at most; in the plane about it areas are then off by less than 1e-5."""

_LEAST_GROUND_M2 = 1.0
"""Parts and holes of a derived outline of less are chinks between polygons of the map."""


@dataclass(frozen=True, eq=False)
class Home:
    """Where a rate map goes.

    Parameters
    ----------
    dataset : Dataset
        The set; of a new one the field is not yet among its fields.
    field : Field
        The field.
    is_new : bool
        Whether set and field are made here.
    plane : LocalPlane
        The plane about the field.
    ground : geometry
        The ground of the field in it, metres.
    findings : tuple of Finding
        What reading a layer of outlines found.
    """

    dataset: Dataset
    field: Field
    is_new: bool
    plane: LocalPlane
    ground: Any
    findings: tuple[Finding, ...] = ()

    def with_field(self) -> Dataset:
        """Return the set with the field in it."""
        return self.dataset.with_changes(fields=(self.field,)) if self.is_new else self.dataset


@dataclass(frozen=True, slots=True)
class HomeRequest:
    """What a caller says of it: set, field, layer of outlines, the layer of rates, which names it, and the version."""

    into: str | os.PathLike[str] | None
    field: str | None
    boundary: str | os.PathLike[str] | None
    layer: str | os.PathLike[str]
    version: int | None = None

    def __post_init__(self) -> None:
        """Refuse an outline for a field that has one.

        Raises
        ------
        UsageError
            Both a set and an outline are given.
        """
        if self.into is not None and self.boundary is not None:
            what = "a field of a set has its own boundary"
            raise UsageError(what, remedy="Leave [[boundary]] out, or [[into]] to make a new set")


def home_of(request: HomeRequest, options: TakeOptions, own: Callable[[], Shapes], notes: Notes) -> Home:
    """Return where a rate map goes.

    Parameters
    ----------
    request : HomeRequest
    options : TakeOptions
        How layers are read.
    own : callable
        Returns the ground of the map, polygons in degrees, where the field has no boundary.
    notes : list
        What has to be told is added.

    Raises
    ------
    UsageError
        The set has no such field, or several and none is named; or an outline encloses nothing.
    """
    if request.into is None:
        return _new_home(request, options, own, notes)
    dataset = _in_version(load(request.into).dataset, request.version)
    field = _chosen(dataset, request.field)
    if field.boundaries:
        return _home(dataset, field, field.boundaries, is_new=False)
    notes.append((MapNote.FIELD_WITHOUT_BOUNDARY, label(field)))
    return _home(dataset, field, _outline(own()), is_new=False)


def _in_version(dataset: Dataset, version: int | None) -> Dataset:
    """Return a set in the version that was asked for, so that the task is made for that."""
    document = document_behind(dataset)
    if document is None or version is None or (document.version or (version,))[0] == version:
        return dataset
    changed, losses = adapt_document(document, TargetOptions(version))
    found = {"source": dataset.source, "noted": dataset.noted, "examine": dataset.examine}
    return to_dataset(changed).with_changes(losses=(*dataset.losses, *losses), **found)


def _new_home(request: HomeRequest, options: TakeOptions, own: Callable[[], Shapes], notes: Notes) -> Home:
    name = request.field or Path(request.layer).stem
    findings: tuple[Finding, ...] = ()
    if request.boundary is None:
        notes.append((MapNote.FIELD_DERIVED, name))
        areas = _outline(own())
    else:
        read = read_features(request.boundary, (), options)
        if read.are_points:
            raise UsageError("holds no polygons", where=request.boundary, remedy="Give a layer with the outline")
        areas, findings = _areas(read.shapes), read.findings
    dataset = Dataset(os.fspath(request.layer), ISOXML)
    home = _home(dataset, Field("PFD1", name, boundaries=areas), areas, is_new=True)
    size = round(float(shapely.area(home.ground)))
    return replace(home, field=replace(home.field, declared_area_m2=size), findings=findings)


def _home(dataset: Dataset, field: Field, areas: tuple[Area, ...], *, is_new: bool) -> Home:
    plane = LocalPlane.about([ring for area in areas for ring in area.exteriors])
    ground = None if plane is None else ground_of(areas, plane)
    if plane is None or ground is None or not shapely.area(ground) > 0.0:
        raise UsageError("its boundary encloses no ground", where=label(field), remedy="Correct the boundary first")
    west, south, east, north = shapely.bounds(ground).tolist()
    if max(east - west, north - south) > MOST_M:
        what = f"is {max(east - west, north - south) / 1000.0:.0f} km long, and no field is"
        raise UsageError(what, where=label(field), remedy="Check the coordinate reference system of the outline")
    return Home(dataset, field, is_new, plane, ground)


def _chosen(dataset: Dataset, wanted: str | None) -> Field:
    if wanted is not None:
        return one_of(dataset.fields, wanted, "field")
    if len(dataset.fields) == 1:
        return dataset.fields[0]
    if not dataset.fields:
        raise UsageError("the set has no field", where=dataset.source, remedy="Leave [[into]] out to make a new set")
    names = ", ".join(map(label, dataset.fields[:10]))
    raise UsageError("the set has several fields", where=dataset.source, remedy=f"Choose one with [[field]]: {names}")


def _areas(found: Iterable[Any]) -> tuple[Area, ...]:
    pieces = (piece for geometry in found for piece in shapes.polygons(geometry))
    return tuple(Area(AreaKind.BOUNDARY, (outer,), tuple(holes)) for outer, holes in pieces)


def _outline(own: Shapes) -> tuple[Area, ...]:
    """Return the outline of the ground of a map, without the chinks between its polygons."""
    plane = LocalPlane.centred_on(shapely.get_coordinates(own))
    whole = merged(in_metres(own, plane))
    areas = []
    for part in solid_parts(whole, _LEAST_GROUND_M2):
        outer, *holes = ring_points(part)
        kept = [plane.inverse(hole) for hole in holes if _size(plane.inverse(hole)) >= _LEAST_GROUND_M2]
        areas.append(Area(AreaKind.BOUNDARY, (plane.inverse(outer),), tuple(kept)))
    return tuple(areas)


def _size(ring: Points) -> float:
    return abs(float(np.asarray(ring_area(ring))))
