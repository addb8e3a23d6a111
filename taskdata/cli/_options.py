"""Options that several commands share."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar, cast

import click

from taskdata.file_formats.table import writable_names
from taskdata.model.choice import LEAVABLE, Only

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
report = click.option(
    "--report", "page", type=click.Path(), help="Also write a page with map of what was changed, such as page.html."
)
source = click.argument("source", type=click.Path(readable=False))


def to(words: str) -> Callable[[Command], Command]:
    """Return the option that chooses the format of what is written, with words of its own."""
    return click.option("--to", type=click.Choice(writable_names(), case_sensitive=False), help=words)


def _pairs(context: click.Context, option: click.Parameter, given: tuple[str, ...]) -> dict[str, str]:
    """Return what stands before and after the last equals sign of each text."""
    pairs = {}
    for text in given:
        before, sign, after = text.rpartition("=")
        if not (before.strip() and sign and after.strip()):
            raise click.BadParameter(f"{text!r} is not {option.metavar}", context, option)
        pairs[before.strip()] = after.strip()
    return pairs


def placing(function: Command) -> Command:
    """Add the options that say which layers are read, and what their coordinates are in."""
    for option in reversed(
        (
            click.option("--crs", help="System of layers that name none or an implausible one, such as EPSG:25832."),
            click.option(
                "--accept-guess",
                is_flag=True,
                help="Use the system that a layer most likely is in, where --crs would be needed.",
            ),
            click.option("--take", multiple=True, metavar="PATTERN", help="Read only items of such paths; repeatable."),
        )
    ):
        function = option(function)
    return function


def reading(function: Command) -> Command:
    """Add the options that say what is known about a source; they become one keyword argument each of ``read``."""
    for option in reversed(
        (
            placing,
            click.option("--mapping", type=click.Path(), metavar="FILE", help="TOML file that says what layers hold."),
            click.option(
                "--column",
                "columns",
                multiple=True,
                metavar="ROLE=COLUMN",
                callback=_pairs,
                help="Which column holds what, such as width=W_M; repeatable.",
            ),
            click.option(
                "--role",
                "roles",
                multiple=True,
                metavar="PATTERN=KIND",
                callback=_pairs,
                help="What items are, such as *.csv=guidance; repeatable.",
            ),
            click.option("--name-column", metavar="COLUMN", help="The same as --column name=COLUMN."),
            click.option("--derive-fields", is_flag=True, help="Make outlines of fields from swaths and logs."),
            click.option("--rescue", is_flag=True, help="Read a cut or damaged XML file up to the damage."),
        )
    ):
        function = option(function)
    return function


IMPLEMENT = ("width", "overlap", "skip", "offset_right", "offset_back", "trailed", "axle")
"""The arguments that `implement` adds."""


def choosing(function: Command) -> Command:
    """Add the options that choose a part of a set; ``choice`` makes one of them."""
    for option in reversed(
        (
            click.option("--field", "fields", multiple=True, help="Only this field, with its tasks; repeatable."),
            click.option("--task", "tasks", multiple=True, help="Only this task, with what it needs; repeatable."),
            click.option("--customer", "customers", multiple=True, help="Only what is this customer's; repeatable."),
            click.option("--farm", "farms", multiple=True, help="Only what is this farm's; repeatable."),
            click.option("--since", metavar="DATE", help="Only tasks that begin on this day or later."),
            click.option("--until", metavar="DATE", help="Only tasks that begin on this day or before."),
            click.option(
                "--leave", multiple=True, metavar="KIND", help=f"Leave out a kind; repeatable: {', '.join(LEAVABLE)}."
            ),
            click.option("--leave-out", multiple=True, metavar="ID", help="Leave out the thing of this identifier."),
        )
    ):
        function = option(function)
    return function


def choice(arguments: dict[str, Any]) -> Only:
    """Take what the options of ``choosing`` gave out of the arguments of a command, and return it."""
    return cast(Only, {name: arguments.pop(name) for name in Only.__annotations__})


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


def measured(function: Command) -> Command:
    """Add the options that choose a measured quantity and say what it is brought to."""
    for option in reversed(
        (
            click.option(
                "--measured", metavar="QUANTITY", help="Clean this logged quantity, such as yield, and map its mean."
            ),
            click.option("--moisture", type=float, help="Bring the measured crop to this moisture in per cent."),
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
