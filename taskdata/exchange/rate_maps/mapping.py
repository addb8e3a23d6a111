"""A layer of rates as a planned task with treatment zones or a grid, in a set that is there or a new one."""

from __future__ import annotations

import math
import os
from collections.abc import Sequence
from dataclasses import replace
from typing import Unpack

from taskdata.amounts import plain
from taskdata.arguments import one_or_several
from taskdata.errors import UsageError
from taskdata.exchange.convert import write
from taskdata.exchange.rate_maps.homes import HomeRequest
from taskdata.exchange.rate_maps.making import Asked, made_of, result_of
from taskdata.exchange.targets import target_of, usual_format
from taskdata.formats.foreign.options import Reading, TakeOptions
from taskdata.rates.classes import classing
from taskdata.rates.map_request import MapRules, for_each, form_of, overlap_of, wanted_rates
from taskdata.results.rate_maps import RateMap


def ratemap(
    layer: str | os.PathLike[str],
    target: str | os.PathLike[str],
    *,
    unit: str | Sequence[str],
    column: str | Sequence[str] = (),
    product: str | Sequence[str] = (),
    quantity: str | Sequence[str] = (),
    into: str | os.PathLike[str] | None = None,
    field: str | None = None,
    boundary: str | os.PathLike[str] | None = None,
    task: str | None = None,
    machine: str | None = None,
    form: str = "zones",
    cell_m: float | None = None,
    classes: str | int | None = None,
    round_to: float | None = None,
    overlap: str | None = None,
    gap_rate: float | Sequence[float] = (),
    lost_rate: float | Sequence[float] = (),
    outside_rate: float | Sequence[float] = (),
    accept_rates: bool = False,
    tank: float | None = None,
    version: int | None = None,
    dry_run: bool = False,
    overwrite: bool = False,
    **reading: Unpack[Reading],
) -> RateMap:
    """Make a planned task with zones or a grid of a layer of rates. Rates feed machines: obey the product label.

    Parameters
    ----------
    layer, target : path
        A layer of polygons or points, or a GeoTIFF, and the set that is written.
    unit : str or sequence of str
        Unit of the rates, such as ``kg/ha``, ``L/ha``, ``seeds/m²``, ``lb/ac``; for several quantities one each.
    column, product, quantity : str or sequence of str, optional
        Column or band of the rates, what is applied (its identifier or name; an unknown one becomes a new product), and
        number or name of the dictionary entry; default the plain rate of the unit's dimension, never that of a
        nutrient. For several quantities one each, in the same order.
    into : path, optional
        The set that the task is added to, which stays as it is; default a new set.
    field : str, optional
        Identifier or name of a field of that set, or name of the field of a new one.
    boundary : path, optional
        Layer with the outline of the field of a new set; default the ground of the map itself.
    task : str, optional
        Name of the task; default that of the layer.
    machine : str, optional
        Identifier or name of the machine of the set that applies it; it must take the quantity.
    form : str
        ``zones`` with polygons, ``grid1`` (codes of zones) or ``grid2`` (a rate in each cell).
    cell_m : float, optional
        Side of a cell; default the working width of the machine, else the spacing of the field's guidance line. The
        middle of a cell lies at the first point of that line.
    classes : str or int, optional
        ``4`` for classes of equal ground, ``equal:4`` for equal steps, ``100,150`` for bounds. A class applies the mean
        of its ground; a rate of 0 stays 0.
    round_to : float, optional
        Round rates to steps of this size, in their unit.
    overlap : str, optional
        ``first``, ``last`` or ``mean`` of different rates for the same ground, which are refused without it.
    gap_rate, lost_rate, outside_rate : float or sequence of float
        Rate where the map has none in the field, where the position is lost, and outside; default 0.
    accept_rates : bool
        Take rates that are out of the usual.
    tank : float, optional
        Size of a tank or bag, in kg, L or pieces, to compare with.
    version : int, optional
        Major version of the target, 3 or 4; default that of the set, else 4.
    dry_run : bool
        Write nothing; the result is the same.
    overwrite : bool
        Allow that an existing target is replaced.
    **reading
        Of the arguments of ``read`` those that say what layers are in.

    Raises
    ------
    UsageError, SourceError, TargetError
        The call or what the layer holds is at fault; the layer could not be read; the target may not be written.

    Examples
    --------
    >>> import taskdata
    >>> made = taskdata.ratemap("samples/rates/spraying.geojson", "plan", unit="L/ha", column="l_ha", product="PDT5",
    ...                         into="samples/office", field="PFD1", machine="DVC2", dry_run=True)
    >>> made.task, made.zones, [(item.rate, round(item.area_m2)) for item in made.rates]
    ('TSK6', 4, [(150.0, 33280), (200.0, 54540), (240.0, 42014)])
    >>> print(f"{made.bill[0].after:.1f} {made.bill[0].unit}")
    2598.3 L
    """
    columns, units, products, quantities = map(one_or_several, (column, unit, product, quantity))
    wanted = wanted_rates(columns, units, products, quantities)
    given = {"gap_rate": gap_rate, "lost_rate": lost_rate, "outside_rate": outside_rate}
    gap, lost, outside = (for_each(_numbers(values), len(wanted), name) for name, values in given.items())
    chosen = None if classes is None else classing(str(classes))
    rules = MapRules(form_of(form), cell_m, chosen, round_to, overlap_of(overlap), gap, lost, outside, accept_rates)
    if tank is not None and not (math.isfinite(tank) and tank > 0.0):
        raise UsageError(f"a tank cannot hold {plain(tank)}", remedy="Give its size in kg, L or pieces")
    to = usual_format(target)
    for source in (layer, into):
        target_of(target, to, source)
    asked = Asked(wanted, rules, HomeRequest(into, field, boundary, layer, version), task, machine, tank, version)
    made = made_of(asked, TakeOptions.of(reading))
    done = write(made.dataset, target, to=to, version=version, dry_run=dry_run, overwrite=overwrite)
    return result_of(asked, made, replace(done, source=os.fspath(layer), datum=made.datum))


def _numbers(values: float | Sequence[float]) -> tuple[float, ...]:
    return tuple(values) if isinstance(values, Sequence) else (float(values),)
