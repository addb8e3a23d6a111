"""Every rule of the program in one list: those of this folder, and those of the readers below it."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache

from taskdata.checks.registry import rules
from taskdata.checks.run import Choice, applies
from taskdata.checks.subject import Subject
from taskdata.findings import Rule
from taskdata.isoxml.rules import reading_rules
from taskdata.isoxml.to_model import rules as model_rules
from taskdata.raised_rules.declared import declared


@cache
def catalogue() -> tuple[Rule, ...]:
    """Return every rule with its page in ``about``, by id."""
    audited = (rule for module in rules() for rule in module.rules)
    found = {rule.id: rule for rule in (*audited, *reading_rules.RULES, *model_rules.RULES, *declared())}
    return tuple(found[name] for name in sorted(found))


def applied(subject: Subject, select: Iterable[str] = (), ignore: Iterable[str] = ()) -> tuple[Rule, ...]:
    """Return the rules that an audit of ``subject`` applies, by id; those on a receiver only where one is named."""
    wanted = Choice(tuple(select), tuple(ignore))
    return tuple(
        rule
        for rule in catalogue()
        if wanted(rule)
        and applies(rule, subject.major)
        and (subject.receiver is not None or rule.id.partition(".")[0] != "receiver")
    )
