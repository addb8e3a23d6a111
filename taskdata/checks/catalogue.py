"""Every rule of the program in one list: those of this folder, and those of the readers below it."""

from __future__ import annotations

from functools import cache

from taskdata.checks.registry import rules
from taskdata.checks.run import RULE_FAILED
from taskdata.findings import Rule
from taskdata.isoxml import reading_rules
from taskdata.isoxml.to_model import rules as model_rules


@cache
def catalogue() -> tuple[Rule, ...]:
    """Return every rule with its page in ``about``, by id."""
    audited = (rule for module in rules() for rule in module.rules)
    return tuple(sorted((*audited, *reading_rules.RULES, *model_rules.RULES, RULE_FAILED), key=lambda rule: rule.id))
