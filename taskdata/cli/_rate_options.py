"""Options that say what a rate map holds, what it is for, and how its rates are brought to the field."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

import click

Command = TypeVar("Command", bound=Callable[..., Any])


def columns(function: Command) -> Command:
    """Add the options that say what is applied; each is given once for each quantity, in the same order."""
    return _with(
        function,
        click.option("--column", multiple=True, help="Column, or band of a raster, with the rates."),
        click.option("--unit", multiple=True, help="Their unit: kg/ha, L/ha, seeds/m², lb/ac, gal/ac ..."),
        click.option("--product", multiple=True, help="Identifier or name of what is applied; else a new product."),
        click.option(
            "--quantity", multiple=True, metavar="DDI|NAME", help="Dictionary entry; default: the plain rate."
        ),
    )


def home(function: Command) -> Command:
    """Add the options that say which set, field and machine a map is for."""
    return _with(
        function,
        click.option("--into", type=click.Path(), metavar="SET", help="Set to add the task to; default: a new set."),
        click.option("--field", help="Identifier or name of a field of that set, or name of the new field."),
        click.option("--boundary", type=click.Path(), metavar="LAYER", help="Outline of the new field."),
        click.option("--task", help="Name of the task; default: that of the layer."),
        click.option("--machine", help="Machine of that set that applies it, by identifier or name."),
    )


def rules(function: Command) -> Command:
    """Add the options that say how rates are brought to zones or cells."""
    return _with(
        function,
        click.option(
            "--as",
            "form",
            type=click.Choice(["zones", "grid1", "grid2"], case_sensitive=False),
            default="zones",
            show_default=True,
            help="Zones with polygons, a grid of zone codes, or a grid with a rate in each cell.",
        ),
        click.option("--cell", "cell_m", type=float, help="Side of a cell in metres; default: the working width."),
        click.option("--classes", help="4 (classes of equal ground), equal:4 (equal steps), or bounds: 100,150."),
        click.option("--round", "round_to", type=float, metavar="STEP", help="Round rates to steps of this size."),
        click.option(
            "--overlap",
            type=click.Choice(["first", "last", "mean"], case_sensitive=False),
            help="Which rate holds where different ones overlap; else they are refused.",
        ),
        click.option(
            "--gap-rate", type=float, multiple=True, help="Rate in the field where the map has none; default: 0."
        ),
        click.option("--lost-rate", type=float, multiple=True, help="Rate where the position is lost; default: 0."),
        click.option("--outside-rate", type=float, multiple=True, help="Rate outside the field; default: 0."),
    )


def _with(function: Command, *options: Callable[[Command], Command]) -> Command:
    for option in reversed(options):
        function = option(function)
    return function
