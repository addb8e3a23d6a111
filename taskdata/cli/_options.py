"""Options that several commands share."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

import click

from taskdata.file_formats.table import writable_names

Command = TypeVar("Command", bound=Callable[..., Any])

json = click.option("--json", "as_json", is_flag=True, help="Print one JSON document and nothing else.")
quiet = click.option("--quiet", is_flag=True, help="Show no progress.")
units = click.option(
    "--units",
    type=click.Choice(["metric", "us"]),
    default="metric",
    show_default=True,
    help="Units to show; what is stored stays as it is.",
)
crs = click.option("--crs", help="System of coordinates of layers that name none, such as EPSG:25832.")
rescue = click.option("--rescue", is_flag=True, help="Of a cut or damaged XML file read what stands before that.")
source = click.argument("source", type=click.Path(readable=False))


def to(words: str) -> Callable[[Command], Command]:
    """Return the option that chooses the format of what is written, with words of its own."""
    return click.option("--to", type=click.Choice(writable_names(), case_sensitive=False), help=words)


def implement(function: Command) -> Command:
    """Add the options that give an implement by hand, all in metres."""
    for option in reversed(
        (
            click.option("--width", type=float, help="Working width in metres, in place of the described sections."),
            click.option("--overlap", type=float, default=0.0, help="By how many metres passes are meant to overlap."),
            click.option("--skip", type=float, default=0.0, help="Gap in metres that is meant between passes."),
            click.option("--offset-right", type=float, help="Metres from the antenna right to the implement's middle."),
            click.option("--offset-back", type=float, help="Metres from the antenna back to the implement, or hitch."),
            click.option("--trailed", type=float, help="Metres from the hitch back to a trailed implement."),
            click.option(
                "--axle", type=float, help="Metres from the antenna back to the rear axle; default described."
            ),
        )
    ):
        function = option(function)
    return function


def logs(function: Command) -> Command:
    """Add the options that say how logs are read."""
    for option in reversed(
        (
            click.option("--device", help="Count only this machine or part of one, by identifier or name."),
            click.option(
                "--delay", type=float, help="Seconds after its record from which on a logged state or rate holds."
            ),
            click.option(
                "--switching",
                type=click.Choice(["record", "middle"]),
                default="record",
                show_default=True,
                help="Where a state changes that differs in two records: at the later one, or half way.",
            ),
            click.option(
                "--accuracy", type=float, help="Standard deviation of a position in metres; default by its fix."
            ),
        )
    ):
        function = option(function)
    return function
