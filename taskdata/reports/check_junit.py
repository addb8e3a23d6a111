"""The result of an audit as JUnit XML, which build servers show: one suite a source, one case a rule.

There is no published standard of this format; the elements and attributes are those that build servers agree on (common
practice).
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from xml.sax.saxutils import escape, quoteattr

from taskdata.findings import Finding, Severity
from taskdata.reports import words
from taskdata.results.audit import Audited, CheckReport, UnreadSource
from taskdata.visible import visible, visible_xml

_NOT_IN_XML = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def junit_text(outcomes: Sequence[Audited], fail_on: Severity) -> str:
    """Return the XML text.

    Parameters
    ----------
    outcomes : sequence of CheckReport or UnreadSource
        The audits. A rule that was applied and found nothing is a case that passed; a source that could not be read is
        a suite with one case in error.
    fail_on : Severity
        A finding at or above it is a failure; below it stands in the output of its case.
    """
    lines = ['<?xml version="1.0" encoding="UTF-8"?>', '<testsuites name="taskdata check">']
    for item in outcomes:
        lines.extend(_unread(item) if isinstance(item, UnreadSource) else _suite(item, fail_on))
    return visible_xml("\n".join([*lines, "</testsuites>", ""]))


def _unread(unread: UnreadSource) -> Iterable[str]:
    source = _attribute(unread.source)
    yield f'  <testsuite name={source} tests="1" failures="0" errors="1">'
    yield f'    <testcase classname={source} name="read">'
    yield f'      <error type="unreadable" message={_attribute(unread.error)}/>'
    yield "    </testcase>"
    yield "  </testsuite>"


def _suite(report: CheckReport, fail_on: Severity) -> Iterable[str]:
    by_rule: dict[str, list[Finding]] = {rule.id: [] for rule in report.applied}
    for finding in report.findings:
        by_rule.setdefault(finding.rule.id, []).append(finding)
    failed = sum(any(_fails(item, fail_on) for item in found) for found in by_rule.values())
    yield f'  <testsuite name={_attribute(report.source)} tests="{len(by_rule)}" failures="{failed}" errors="0">'
    for name, found in by_rule.items():
        yield from _case(report.source, name, found, fail_on)
    yield "  </testsuite>"


def _case(source: str, name: str, found: Sequence[Finding], fail_on: Severity) -> Iterable[str]:
    head = f"    <testcase classname={_attribute(source)} name={_attribute(name)}"
    if not found:
        yield f"{head}/>"
        return
    yield f"{head}>"
    grave = [item for item in found if _fails(item, fail_on)]
    mild = [item for item in found if not _fails(item, fail_on)]
    if grave:
        told = _attribute(f"{words.counted(len(grave), 'finding')}: {words.message(grave[0])}")
        yield f"      <failure type={_attribute(str(grave[0].severity))} message={told}>{_texts(grave)}</failure>"
    if mild:
        yield f"      <system-out>{_texts(mild)}</system-out>"
    yield "    </testcase>"


def _fails(finding: Finding, fail_on: Severity) -> bool:
    return finding.severity.rank <= fail_on.rank


def _texts(found: Sequence[Finding]) -> str:
    lines = (f"{item.severity} {words.standing(item)}: {words.message(item)} {words.remedy(item)}" for item in found)
    return escape(_clean("\n".join(lines)))


def _attribute(text: str) -> str:
    return quoteattr(_clean(text))


def _clean(text: str) -> str:
    """Show as an escape what XML cannot hold."""
    return _NOT_IN_XML.sub(lambda found: visible(found[0]), text)
