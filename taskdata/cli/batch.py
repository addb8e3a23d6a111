"""``taskdata batch``: one command over many sources."""

from __future__ import annotations

import click

from taskdata.cli import _output
from taskdata.cli._progress import progress
from taskdata.cli._short_help import SHORT_HELP

EXAMPLE = "Example: taskdata batch check archive --out checked -- --fail-on warning"
_WORDS = "taskdata.batch.words"


class _WithWords(click.Command):
    """A command that leaves what stands behind ``--`` to another one."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Put the words behind ``--`` aside."""
        at = args.index("--") if "--" in args else len(args)
        ctx.meta[_WORDS] = args[at + 1 :]
        return super().parse_args(ctx, args[:at])


@click.command(
    "batch",
    cls=_WithWords,
    epilog=EXAMPLE,
    options_metavar="--out FOLDER [OPTIONS]",
    short_help=SHORT_HELP["batch"],
)
@click.argument("name", metavar="COMMAND")
@click.argument("sources", nargs=-1, required=True, metavar="SOURCE... [-- OPTIONS OF COMMAND]")
@click.option("--out", required=True, metavar="FOLDER", help="Folder for results and summary, or URL of one.")
@click.option("--workers", type=click.IntRange(min=1), help="Processes at a time; default: one for each processor.")
@click.option(
    "--memory-mb",
    type=click.IntRange(min=1),
    help="Memory that each may take (Linux); default: 80 % of the machine's, in equal parts.",
)
@click.option("--scheduler", metavar="ADDRESS", help="Use the workers of this Dask scheduler (taskdata[cluster]).")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document and nothing else.")
@click.option("--quiet", is_flag=True, help="Show no progress.")
@click.pass_context
def command(
    ctx: click.Context,
    *,
    name: str,
    sources: tuple[str, ...],
    out: str,
    workers: int | None,
    memory_mb: int | None,
    scheduler: str | None,
    as_json: bool,
    quiet: bool,
) -> int:
    """Do COMMAND with every data set below each SOURCE, and put a result each and a summary into FOLDER.

    COMMAND is check, inspect, convert, clean or coverage; its options stand behind --. SOURCE is a folder of sticks at
    any depth, an archive or a file, or a URL such as s3://bucket/sticks that workers see.

    FOLDER is a new one, or that of an earlier call, which is gone on with: a source whose content and options did not
    change is not done again. It gets results, summary.json, summary.csv and summary.parquet. The exit code is the
    highest of all sources: 1 as of COMMAND, 2 to 4 for a source without a result, which costs no other; 4 also where
    FOLDER lies on a source or holds something else, no worker starts, or the scheduler is lost.
    """
    from taskdata.batches.pool import prepare

    if scheduler is None:
        prepare()
    from taskdata.batches.many import batch
    from taskdata.cli._batched import options_of
    from taskdata.reports.batch_json import batch_document
    from taskdata.reports.batch_text import batch_text

    options = options_of(name, ctx.meta[_WORDS])
    with progress("Looking for sources", quiet=quiet):
        result = batch(name, sources, out, workers=workers, memory_mb=memory_mb, scheduler=scheduler, **options)
    if as_json:
        _output.print_document(batch_document(result))
    else:
        _output.print_lines(batch_text(result))
    return result.exit_code
