"""From any coordinate reference system that PROJ knows to longitude and latitude in WGS 84.

The operation is chosen once, from those that work with the grids installed, and said to the user together with its
accuracy: an operation may be a null shift of some metres' accuracy although better ones exist, and PROJ then still
calls it the best available. Grids are never fetched over the network.
"""

from __future__ import annotations

import warnings
from dataclasses import field, replace
from os import PathLike

import numpy as np
from numpy.typing import ArrayLike
from pyproj import CRS, Transformer, network
from pyproj.aoi import AreaOfInterest
from pyproj.exceptions import CRSError, ProjError
from pyproj.transformer import TransformerGroup

from taskdata.dataclass import dataclass
from taskdata.errors import SourceError, TaskdataError, UsageError
from taskdata.geometry.arrays import Points, as_points
from taskdata.geometry.rings import wrap
from taskdata.geometry.system_facts import AreaOfUse, Heights, area_of_use, frame_of, heights_of

WGS84 = CRS.from_epsg(4326)
IDENTITY = "identity"
"""The operation that does nothing."""
SWAPPED = "swapped:"
"""Stands before a system whose coordinates come with north, or latitude, first."""
_SWAPPING = "axes swapped"
_AXIS_ORDER = "axis order change (2D)"
_CHANGING = ("cart", "gridshift", "hgridshift", "molodensky", "geogoffset", "deformation", "defmodel", "tinshift")
"""Steps by which PROJ changes a datum."""


@dataclass(frozen=True, slots=True)
class Transformation:
    """A way from one coordinate reference system to WGS 84.

    Parameters
    ----------
    source_name : str
        The name of the source system, ``unknown`` where its text gives none.
    is_projected : bool
        True for east and north in a length unit, False for longitude and latitude.
    unit : str
        The unit of the source coordinates, as PROJ names it.
    operation : str
        PROJ's description of the operation, ``identity`` where nothing is done.
    accuracy_m : float or None
        The stated accuracy of the change of datum in metres; None where it is unknown, which includes ballpark
        operations that leave out the change of datum.
    better_missing : tuple of str
        The grids, in alphabetical order, of more accurate operations that are not installed.
    missing_count : int
        How many operations, better or not, cannot be used for want of a grid.
    use : AreaOfUse or None
        Where the source system is meant to be used; None where it is not known.
    heights : Heights or None
        What the system says of heights; None where it has none.
    datum : str
        The name of the system's datum.
    is_dynamic : bool
        Whether the datum moves against the ground, so that coordinates hold for an epoch.
    null_shift : bool
        Whether the change of datum leaves coordinates as they are, apart from the projection.
    swapped : bool
        Whether coordinates come with north, or latitude, first.
    """

    source_name: str
    is_projected: bool
    unit: str
    operation: str
    accuracy_m: float | None
    better_missing: tuple[str, ...]
    missing_count: int
    _transformer: Transformer | None = field(repr=False, compare=False)
    use: AreaOfUse | None = field(default=None, compare=False)
    heights: Heights | None = None
    datum: str = ""
    is_dynamic: bool = True
    null_shift: bool = True
    swapped: bool = False

    def forward(self, xy: ArrayLike) -> Points:
        """Return longitude and latitude for source coordinates.

        Parameters
        ----------
        xy : array_like
            (n, 2) in the unit of the source, east or longitude first whatever the system's own axis order; the other
            way round where they are ``swapped``.

        Returns
        -------
        Points
            (n, 2) degrees WGS 84, longitude in [-180, 180]; NaN where there is no answer.
        """
        points = as_points(xy)[:, ::-1] if self.swapped else as_points(xy)
        if self._transformer is None or len(points) == 0:
            return wrap(points)
        return _moved(self._transformer, points)


def to_wgs84(crs: str, *, sample: ArrayLike | None = None, where: str | PathLike[str] | None = None) -> Transformation:
    """Choose the operation from a coordinate reference system to WGS 84.

    Parameters
    ----------
    crs : str
        An authority code such as ``EPSG:25832``, well-known text (also that of ESRI ``.prj`` files), PROJ JSON, or a
        PROJ string; ``swapped:`` before it where north comes first in the coordinates.
    sample : array_like, optional
        (n, 2) source coordinates, east or longitude first. Operations for the area they lie in then come first: several
        national systems have one for each part of the country.
    where : str or path, optional
        The file the text came from. It decides the kind of error and stands in its line.

    Returns
    -------
    Conversion

    Raises
    ------
    SourceError, UsageError
        When the text is no system that places points on Earth; UsageError where no file is named.

    Notes
    -----
    Turns PROJ's network access off for the process.
    """
    network.set_network_enabled(active=False)  # type: ignore[attr-defined]  # public, but not marked as exported
    source, swapped = _parsed(crs, where), is_swapped(crs)
    if swapped:
        sample = None if sample is None else as_points(sample)[:, ::-1]
        found = to_wgs84(source.to_wkt(), sample=sample, where=where)
        steps = _SWAPPING if found.operation == IDENTITY else f"{_SWAPPING} + {found.operation}"
        return replace(found, source_name=f"{source.name}, {_SWAPPING}", operation=steps, swapped=True)
    if source.equals(WGS84, ignore_axis_order=True):
        return Transformation(
            source.name,
            False,
            "degree",
            IDENTITY,
            0.0,
            (),
            0,
            None,
            heights=heights_of(source),
            datum=frame_of(source)[0],
        )
    return _chosen(source, sample, where)


def is_swapped(crs: str) -> bool:
    """Return whether the text of a system says that north comes first in the coordinates."""
    return crs.strip().casefold().startswith(SWAPPED)


def turned(crs: str) -> str:
    """Return a system with the coordinates in the other order."""
    return crs.strip()[len(SWAPPED) :] if is_swapped(crs) else f"{SWAPPED}{crs}"


def is_projected(crs: str) -> bool:
    """Return whether a system has east and north in a length unit, not longitude and latitude.

    Raises
    ------
    UsageError
        The text is no system that places points on Earth.
    """
    return bool(_parsed(crs, None).is_projected)


def _chosen(source: CRS, sample: ArrayLike | None, where: str | PathLike[str] | None) -> Transformation:
    """Choose the first operation in PROJ's order, which is by area and then by accuracy.

    Where no change of datum is made for the place of the sample, it is the first one of the system all the same, and
    never the one that leaves the change of datum out.
    """
    group = _group(source, where)
    use = area_of_use(source)
    area = None if sample is None else _area(group.transformers[0], as_points(sample), use)
    if area is not None:
        near = _group(source, where, area)
        if near.transformers[0].accuracy >= 0.0 or group.transformers[0].accuracy < 0.0:
            group = near
    chosen = group.transformers[0]
    accuracy = float(chosen.accuracy) if chosen.accuracy >= 0.0 else None
    datum, dynamic = frame_of(source)
    return Transformation(
        source_name=source.name,
        is_projected=source.is_projected,
        unit=source.axis_info[0].unit_name,
        operation=_described(chosen),
        accuracy_m=accuracy,
        better_missing=_better_grids(group, accuracy),
        missing_count=len(group.unavailable_operations),
        _transformer=chosen,
        use=use,
        heights=heights_of(source),
        datum=datum,
        is_dynamic=dynamic,
        null_shift=not any(f"proj={step} " in f"{chosen.definition} " for step in _CHANGING),
    )


def _parsed(text: str, where: str | PathLike[str] | None) -> CRS:
    try:
        bare = text.strip().removeprefix("\ufeff")
        crs = CRS.from_user_input(turned(bare) if is_swapped(bare) else bare)
    except CRSError as cause:
        raise _failure("The coordinate reference system is not known", where, _shortened(text)) from cause
    if not (crs.is_geographic or crs.is_projected):
        raise _failure("The coordinate reference system has no east and north on Earth", where, crs.name)
    return crs


def _failure(what: str, where: str | PathLike[str] | None, why: str) -> TaskdataError:
    kind = UsageError if where is None else SourceError
    return kind(
        what,
        where=where,
        why=why,
        remedy="Give its EPSG code, such as EPSG:25832, or save the layer in WGS 84 (EPSG:4326) from where it came.",
    )


def _shortened(text: str) -> str:
    words = " ".join(text.split())
    return words if len(words) <= 60 else words[:57] + "..."


def _group(source: CRS, where: str | PathLike[str] | None, area: AreaOfInterest | None = None) -> TransformerGroup:
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", UserWarning)
            group = TransformerGroup(source, WGS84, always_xy=True, area_of_interest=area)  # type: ignore[arg-type]  # stub names an alias
    except (ProjError, IndexError) as cause:  # pyproj has no name for an operation where PROJ gives none
        raise _failure(
            "There is no transformation from the coordinate reference system to WGS 84", where, source.name
        ) from cause
    if not group.transformers:
        raise _failure("There is no transformation from the coordinate reference system to WGS 84", where, source.name)
    return group


def _area(transformer: Transformer, sample: Points, use: AreaOfUse | None) -> AreaOfInterest | None:
    """Return the box of a sample; of its points in the area of use alone where there are such."""
    points = _moved(transformer, sample)
    points = points[np.isfinite(points).all(axis=1)]
    if len(points) == 0:
        return None
    inside = points if use is None else points[use.beyond(points) == 0.0]
    points = inside if len(inside) else points
    (west, south), (east, north) = points.min(axis=0), points.max(axis=0)
    if east - west > 180.0:
        west, east = points[points[:, 0] > 0.0, 0].min(), points[points[:, 0] <= 0.0, 0].max()
    return AreaOfInterest(float(west), float(south), float(east), float(north))


def _moved(transformer: Transformer, points: Points) -> Points:
    x, y = transformer.transform(points[:, 0], points[:, 1])
    moved = np.column_stack([x, y])
    moved[~np.isfinite(moved).all(axis=1)] = np.nan
    return wrap(moved)


def _described(transformer: Transformer) -> str:
    steps = [step for step in transformer.description.split(" + ") if step != _AXIS_ORDER]
    return " + ".join(steps) or IDENTITY


def _better_grids(group: TransformerGroup, accuracy: float | None) -> tuple[str, ...]:
    names = {
        grid.short_name
        for operation in group.unavailable_operations
        if operation.accuracy >= 0.0 and (accuracy is None or operation.accuracy < accuracy)
        for grid in operation.grids
        if not grid.available
    }
    return tuple(sorted(names))
