"""``taskdata rules``: the catalogue."""

from __future__ import annotations

import click

from taskdata.cli import _options, _output
from taskdata.cli._short_help import SHORT_HELP

EXAMPLE = "Example: taskdata rules reference.dangling"


@click.command("rules", epilog=EXAMPLE, short_help=SHORT_HELP["rules"])
@click.argument("rule", required=False)
@_options.json
def command(rule: str | None, as_json: bool) -> None:
    """List every rule of the check or one family of rules, or explain one RULE with an example."""
    from taskdata import api
    from taskdata.reports.rules_pages import rule_document, rule_list, rule_page

    chosen = api.rules() if rule is None else api.rules(rule)
    if as_json:
        _output.print_document({"rules": [rule_document(item) for item in chosen]})
    elif rule is not None and len(chosen) == 1:
        _output.print_lines(rule_page(chosen[0]))
    else:
        _output.print_lines(rule_list(chosen))
