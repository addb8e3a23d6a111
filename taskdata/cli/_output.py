"""What goes to stdout and stderr: documents, and lines with a little colour; nothing raw of what came from a source."""

from __future__ import annotations

import io
import os
import sys
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any

import click

from taskdata import strict_json
from taskdata.visible import visible, visible_json, visible_lines

if TYPE_CHECKING:
    from taskdata.findings import Finding
    from taskdata.reports.styled import Line
    from taskdata.results.conversion import Conversion

STYLES = {
    "plain": "",
    "heading": "bold",
    "error": "bold magenta",
    "warning": "bold yellow",
    "note": "bold cyan",
    "quiet": "dim",
}


def print_document(document: Any) -> None:
    """Print one JSON document on stdout."""
    click.echo(visible_json(strict_json.dumps(document, indent=2)))


def print_lines(lines: Iterable[Line]) -> None:
    """Print lines on stdout, with colour only on a terminal and never against NO_COLOR."""
    if not sys.stdout.isatty() or os.environ.get("NO_COLOR"):
        click.echo("\n".join(visible(line.text) for line in lines))
        return
    from rich.console import Console
    from rich.text import Text

    console = Console(highlight=False, soft_wrap=True)
    for line in lines:
        console.print(Text(visible(line.text), style=STYLES[line.style]))


def draws() -> bool:
    """Return whether stdout is a terminal that can show Braille characters, as far as it can be known.

    The text console of Linux and the older one of Windows have no letters for them.
    """
    shown = sys.stdout.isatty() and os.environ.get("TERM") not in {"dumb", "linux"}
    encoding = (sys.stdout.encoding or "").lower().replace("-", "")
    return shown and encoding == "utf8" and (os.name != "nt" or "WT_SESSION" in os.environ)


def say(text: str) -> None:
    """Print one line about the run on stderr."""
    click.echo(f"taskdata: {visible(text)}", err=True)


def show_usage_error(error: click.ClickException, words: Sequence[str]) -> None:
    """Print what click found wrong with the words of the command line, which may be file names from a stick."""
    shown = io.StringIO()
    error.show(file=shown)
    text = shown.getvalue()
    for word in (*words, *(word.partition("=")[2] for word in words)):
        if visible(word) != word:
            text = text.replace(word, visible(word))
    click.echo(visible_lines(text), err=True, nl=False)


def exit_code(findings: Iterable[Finding], *, new_errors: Iterable[Finding] = ()) -> int:
    """Return the exit code of a command that was carried out: 0, or 1 for done, but look.

    Parameters
    ----------
    findings : iterable of Finding
        What reading the sources found; 1 where something that they name could not be read.
    new_errors : iterable of Finding
        Errors of the result that the sources did not have; 1 where there are any.
    """
    from taskdata.findings import unread_of

    return int(bool(unread_of(findings)) or any(True for _ in new_errors))


def print_written(result: Conversion | None) -> None:
    """Print below a result, which has its own caution, what was written of it; nothing where nothing was."""
    if result is None:
        return
    from taskdata.reports.convert_text import convert_text

    click.echo()
    print_lines(convert_text(result, caution=False))
