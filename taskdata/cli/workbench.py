"""``taskdata workbench``: a local page for people without a shell."""

from __future__ import annotations

import sys

import click

EXAMPLE = "Example: taskdata workbench --port 8765"


@click.command("workbench", epilog=EXAMPLE, short_help="Open a local page: look, check, clean, choose, convert, save.")
@click.option("--port", type=click.IntRange(0, 65535), default=0, help="Port on this computer; default: any free one.")
@click.option("--no-browser", is_flag=True, help="Print the address and open no browser.")
@click.option(
    "--max-upload",
    type=click.IntRange(min=1),
    default=2048,
    show_default=True,
    metavar="MB",
    help="What one drop may have.",
)
def command(*, port: int, no_browser: bool, max_upload: int) -> int:
    """Open a page in your browser on which a stick is looked at, checked, cleaned, split and converted.

    It is served to this computer alone, and nothing leaves it. Ctrl+C ends it, and removes what was dropped.
    """
    from taskdata.workbench.serving import serve

    def say(address: str) -> None:
        click.echo(address)
        sys.stdout.flush()

    serve(port, browser=not no_browser, max_upload_mb=max_upload, say=say)
    return 0
