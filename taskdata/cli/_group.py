"""The group of commands: every module of this folder without a leading underscore is one."""

from __future__ import annotations

import importlib
import pkgutil
from pathlib import Path

import click

from taskdata.cli._short_help import SHORT_HELP


class Commands(click.Group):
    """A group that finds its commands by walking the folder and loads one when it is asked for."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Return the names of all commands."""
        found = pkgutil.iter_modules([str(Path(__file__).parent)])
        return sorted(info.name for info in found if not info.name.startswith("_"))

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Return the command, None if there is none of that name."""
        if cmd_name not in self.list_commands(ctx):
            return None
        module = importlib.import_module(f"taskdata.cli.{cmd_name}")
        command: click.Command = module.command
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write the names of all commands with what each does; one whose words are not at hand is loaded for them."""
        rows = [(name, SHORT_HELP.get(name) or self._words_of(ctx, name)) for name in self.list_commands(ctx)]
        with formatter.section("Commands"):
            formatter.write_dl(rows)

    def _words_of(self, ctx: click.Context, name: str) -> str:
        command = self.get_command(ctx, name)
        return "" if command is None else command.get_short_help_str()
