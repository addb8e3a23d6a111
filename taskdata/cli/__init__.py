"""The command line: one command a module, loaded when it is asked for.

Exit codes: those of `HELP`, and 141 where the reader of a pipe went away.
"""

from __future__ import annotations

import atexit
import errno
import gc
import os
import sys
import warnings
from collections.abc import Sequence

import click

from taskdata.arguments import as_option
from taskdata.cli._completion import answer_shell
from taskdata.cli._group import Commands
from taskdata.cli._output import say, show_usage_error
from taskdata.cli._signals import ignore_signals, signals_end_the_run
from taskdata.errors import SourceError, TargetError, TaskdataError

__all__ = ["commands", "ignore_signals", "main"]

PIPE_CLOSED = 141
_NO_MEMORY = ("allocate memory", "failed to map segment", "start new thread", "bad_alloc", "out of memory")
atexit.register(gc.freeze)  # so that nothing looks through all that was loaded once more when the process ends
EXAMPLE = "Example: taskdata check stick/TASKDATA"
HELP = """Convert, check and inspect ISO 11783-10 task data (ISO-XML) and related GIS formats.

The tool advises; it never says that a file is safe to drive. Check the first pass by eye, keep people clear, and
obey the product label and local rules.

\b
Exit codes:
  0  done
  1  done, but look: check found something at or above --fail-on, compare
     found a difference, a file that the source names could not be read, or
     the result has an error that the source did not have
  2  wrong usage, or several sets where one is meant
  3  a source could not be read
  4  the target could not or may not be written
  130, 143, 129  interrupted (Ctrl+C), told to end, terminal closed
"""


@click.command(cls=Commands, epilog=EXAMPLE, help=HELP, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="taskdata", message="%(prog)s %(version)s")
def commands() -> None:
    """Run the command that is named."""


def main(arguments: Sequence[str] | None = None) -> None:
    """Run the program and leave with its exit code.

    Parameters
    ----------
    arguments : sequence of str, optional
        In place of the words of the command line.
    """
    sys.exit(_run(arguments))


def _run(arguments: Sequence[str] | None) -> int:
    for name in ("stdout", "stderr"):
        if getattr(sys, name) is None:  # the caller closed it
            setattr(sys, name, os.fdopen(os.open(os.devnull, os.O_WRONLY), "w", encoding="utf-8"))
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):  # a name or path that the terminal cannot show must not stop the program
            stream.reconfigure(errors="backslashreplace")
    words = sys.argv[1:] if arguments is None else list(arguments)
    with signals_end_the_run() as signals:
        try:
            return _ended(words)
        except (KeyboardInterrupt, click.Abort):
            return _interrupted(signals.exit_code)
        except Exception as error:
            if signals.came is not None:  # a library made something else of the interruption
                return _interrupted(signals.exit_code)
            if not _lacks_memory(error):
                raise
            return _beyond_memory()


def _ended(words: list[str]) -> int:
    """Run the command and return the exit code; what is told of a failure is one line."""
    try:
        answered = answer_shell(commands)
        code = _invoke(words) if answered is None else answered
        sys.stdout.flush()
    except click.exceptions.Exit as ended:
        return ended.exit_code
    except click.ClickException as error:
        show_usage_error(error, words)
        return error.exit_code
    except TaskdataError as error:
        say(error.told(as_option))
        return error.exit_code
    except OSError as error:
        if _lacks_memory(error):
            raise
        return _unprinted(error)
    return code if isinstance(code, int) else 0


def _invoke(arguments: list[str]) -> object:
    """Run the command and return what it returned; click's own way would take a closed pipe for findings (code 1)."""
    with warnings.catch_warnings(), commands.make_context("taskdata", arguments) as context:
        warnings.simplefilter("ignore", RuntimeWarning)  # of GDAL on stderr; what is wrong comes as error or finding
        return commands.invoke(context)


def _unprinted(error: OSError) -> int:
    """Tell what stopped the output, let the rest of it go nowhere, and return the exit code."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())  # so that the last flush at exit is quiet
    if isinstance(error, BrokenPipeError):
        return PIPE_CLOSED
    where = error.filename or "the output"
    say(f"{where}: could not be written ({error.strerror}). Make room and try again")
    return TargetError.exit_code


def _interrupted(code: int) -> int:
    say("interrupted")
    return code


def _lacks_memory(error: Exception) -> bool:
    """Tell whether the system had no memory left, as Python or a library in it says it."""
    if isinstance(error, MemoryError) or (isinstance(error, OSError) and error.errno == errno.ENOMEM):
        return True
    return isinstance(error, RuntimeError | ImportError | SystemError) and any(
        words in str(error).lower() for words in _NO_MEMORY
    )


def _beyond_memory() -> int:
    say("there is not enough memory. Close other programs, or choose a part of the source with --field or --task")
    return SourceError.exit_code
