"""Every rule of the program in one list: those of this folder, and those that something else raises."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache

from taskdata.checks.registry import rules
from taskdata.checks.run import RuleChoice, applies
from taskdata.checks.subject import Subject
from taskdata.errors import UsageError
from taskdata.findings import Rule
from taskdata.model.lookup import alike
from taskdata.raised_rules.declared import declared
from taskdata.raised_rules.internal.repair_failed import RULE as REPAIR_FAILED

ELSEWHERE = ("import", "coverage")
"""Families of rules on reading foreign layers and on figures of coverage, which no audit of a file set applies."""


@cache
def catalogue() -> tuple[Rule, ...]:
    """Return every rule with its page in ``about``, by id."""
    found = {rule.id: rule for rule in (*(rule for module in rules() for rule in module.rules), *declared())}
    return tuple(found[name] for name in sorted(found))


def known_names(names: Iterable[str], ids: Iterable[str], problem: str) -> tuple[str, ...]:
    """Return names of rules or families as they are written, whatever case they are given in.

    Parameters
    ----------
    names : iterable of str
        Ids such as ``timelog.cut-record`` or families such as ``timelog``.
    ids : iterable of str
        Ids of the rules that may be named.
    problem : str
        What is wrong with a name that is none of these.

    Raises
    ------
    UsageError
        A name is none of these; the error names those that are written most alike.
    """
    known = {name for rule in ids for name in (rule, rule.partition(".")[0])}
    found = []
    for given in names:
        name = given.strip().casefold()
        if name not in known:
            near = " or ".join(alike(name, sorted(known)))
            raise UsageError(problem, where=given, remedy=f"Do you mean {near}?" if near else "See: [[rules()]]")
        found.append(name)
    return tuple(found)


def audited() -> tuple[Rule, ...]:
    """Return the rules that an audit of a file set may report, by id; the others are raised elsewhere."""
    return tuple(
        rule for rule in catalogue() if rule.id.partition(".")[0] not in ELSEWHERE and rule.id != REPAIR_FAILED.id
    )


def applied(subject: Subject, select: Iterable[str] = (), ignore: Iterable[str] = ()) -> tuple[Rule, ...]:
    """Return the rules that an audit of ``subject`` applies, by id; those on a receiver only where one is named."""
    wanted = RuleChoice(tuple(select), tuple(ignore))
    return tuple(
        rule
        for rule in audited()
        if wanted(rule)
        and applies(rule, subject.major)
        and (subject.receiver is not None or rule.id.partition(".")[0] != "receiver")
    )
