"""What a shell asks for when it completes a line: a script for the shell once, then what fits at the cursor."""

from __future__ import annotations

import os

import click

ASKED = "_TASKDATA_COMPLETE"
"""Set by the shell to what it asks for, such as ``bash_source`` or ``zsh_complete``."""


def answer_shell(commands: click.Command) -> int | None:
    """Print what a shell asks for and return the exit code, None where none asks."""
    asked = os.environ.get(ASKED)
    if not asked:
        return None
    from click.shell_completion import shell_complete

    return shell_complete(commands, {}, "taskdata", ASKED, asked)
