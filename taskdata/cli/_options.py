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
    type=click.Choice(["metric", "us"], case_sensitive=False),
    default="metric",
    show_default=True,
    help="Units to show; stored values do not change.",
)
crs = click.option("--crs", help="Coordinate reference system of layers that name none, such as EPSG:25832.")
rescue = click.option("--rescue", is_flag=True, help="Read a cut or damaged XML file up to the damage.")
source = click.argument("source", type=click.Path(readable=False))


def to(words: str) -> Callable[[Command], Command]:
    """Return the option that chooses the format of what is written, with words of its own."""
    return click.option("--to", type=click.Choice(writable_names(), case_sensitive=False), help=words)


def implement(function: Command) -> Command:
    """Add the options that give an implement by hand, all in metres."""
    for option in reversed(
        (
            click.option(
                "--width", type=float, help="Working width in metres, instead of the sections that the set describes."
            ),
            click.option("--overlap", type=float, default=0.0, help="Intended overlap of passes in metres."),
            click.option("--skip", type=float, default=0.0, help="Intended gap between passes in metres."),
            click.option(
                "--offset-right", type=float, help="Metres from the antenna to the right, to the implement's centre."
            ),
            click.option(
                "--offset-back", type=float, help="Metres from the antenna back to the implement, or to the hitch."
            ),
            click.option("--trailed", type=float, help="Metres from the hitch back to a trailed implement."),
            click.option(
                "--axle", type=float, help="Metres from the antenna back to the rear axle; default: from the set."
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
                "--delay", type=float, help="Seconds after its record at which a logged state or rate takes effect."
            ),
            click.option(
                "--switching",
                type=click.Choice(["record", "middle"], case_sensitive=False),
                default="record",
                show_default=True,
                help="Where a state that differs between two records changes: at the later one, or halfway.",
            ),
            click.option(
                "--accuracy",
                type=float,
                help="Standard deviation of a position in metres; default: from the type of fix.",
            ),
        )
    ):
        function = option(function)
    return function
