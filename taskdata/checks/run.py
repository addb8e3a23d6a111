"""One audit: run every rule that applies, whatever becomes of the others."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import replace

from taskdata.checks.registry import RuleModule, rules
from taskdata.checks.subject import Subject
from taskdata.errors import TaskdataError
from taskdata.findings import Finding, Place, Rule, cause_of
from taskdata.progress import each
from taskdata.raised_rules.internal.rule_failed import RULE as RULE_FAILED
from taskdata.versions import VersionSpan

EXPLAINS, ECHOES = "schema.", "model."


def run(subject: Subject, select: Iterable[str] = (), ignore: Iterable[str] = ()) -> list[Finding]:
    """Return everything that is wrong, by file and line.

    Parameters
    ----------
    subject : Subject
        What to audit. What its reader noted is part of the result.
    select, ignore : iterable of str
        Rule ids or families (``timelog``): only these, all but these. Empty = no limit.
    """
    wanted = RuleChoice(tuple(select), tuple(ignore))
    found = [finding for finding in subject.dataset.noted if wanted(finding.rule)]
    modules = [
        module for module in rules() if any(wanted(rule) and applies(rule, subject.major) for rule in module.rules)
    ]
    for module in each(modules, "Applying rules", "rules"):
        found += (finding for finding in _apply(module, subject) if wanted(finding.rule))
    return sorted(_without_echoes(found), key=_position)


def applies(rule: Rule, major: int | None) -> bool:
    """Tell whether a rule applies to sets of version ``major``; None = unknown, where only general rules apply."""
    span = VersionSpan(rule.since, rule.until)
    return span == VersionSpan() or (major is not None and span.holds(major))


def cap(findings: Iterable[Finding], max_per_rule: int = 50) -> list[Finding]:
    """Return at most ``max_per_rule`` findings of each rule, then one that counts the rest of that rule.

    0 lists all. The counting finding has the rule's id, the gravest severity among the rest, and no place.
    """
    if max_per_rule < 1:
        return list(findings)
    listed: list[Finding] = []
    seen: Counter[str] = Counter()
    rest: dict[str, list[Finding]] = {}
    for finding in findings:
        seen[finding.rule.id] += 1
        if seen[finding.rule.id] <= max_per_rule:
            listed.append(finding)
        else:
            rest.setdefault(finding.rule.id, []).append(finding)
    return listed + [_rest(group) for group in rest.values()]


def _without_echoes(found: list[Finding]) -> Iterator[Finding]:
    """Leave out what the reader noticed of a fault that validation against the schema explains at the same element."""
    explained = {(item.place.file, item.place.path) for item in found if item.rule.id.startswith(EXPLAINS)}
    for finding in found:
        if not finding.rule.id.startswith(ECHOES) or (finding.place.file, finding.place.path) not in explained:
            yield finding


def _rest(group: list[Finding]) -> Finding:
    rule = replace(
        group[0].rule,
        message="More findings of this kind, not listed: {count}.",
        remedy="Correct those that are listed and check again, or raise the limit with [[max_per_rule]].",
    )
    severity = min((finding.severity for finding in group), key=lambda item: item.rank)
    return rule.at(Place(), severity=severity, count=len(group))


def _apply(module: RuleModule, subject: Subject) -> Iterator[Finding]:
    """Yield the findings of one module; a defect in it becomes a finding, so that the others go on."""
    try:
        for finding in module.check(subject):
            if applies(finding.rule, subject.major):
                yield finding
    except (TaskdataError, OSError):  # not the rule fails but the source, which the user has to know
        raise
    except Exception as error:  # whatever a rule does wrong must not hide what the others find
        name = module.rules[0].id if len(module.rules) == 1 else module.name
        yield RULE_FAILED.at(Place(), rule=name, cause=cause_of(error))


def _position(finding: Finding) -> tuple[bool, str, int, int]:
    place = finding.place
    return place.file is None, place.file or "", place.line or 0, place.record or 0


class RuleChoice:
    """Which rules the user wants: ids or families, only these and all but these; see ``run``."""

    def __init__(self, select: tuple[str, ...], ignore: tuple[str, ...]) -> None:
        self.select = select
        self.ignore = ignore

    def __call__(self, rule: Rule) -> bool:
        """Tell whether the user wants the findings of a rule; that one failed is always told."""
        if rule is RULE_FAILED:
            return True
        return (not self.select or _named(rule.id, self.select)) and not _named(rule.id, self.ignore)


def _named(rule_id: str, names: tuple[str, ...]) -> bool:
    family = rule_id.partition(".")[0]
    return rule_id in names or family in names
