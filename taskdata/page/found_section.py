"""Findings of the audit: totals, how many lie in which field, then each rule with its places."""

from __future__ import annotations

from collections import Counter

from taskdata.findings import Finding, Severity
from taskdata.page import markup
from taskdata.page.content import Content
from taskdata.page.layers.findings import MARK, field_of_things
from taskdata.page.long_lists import listed_table
from taskdata.page.scene import Scene, marks_of
from taskdata.page.wording import Wording
from taskdata.translations import N_

_COUNTED = {
    Severity.ERROR: (N_("{count} error"), N_("{count} errors")),
    Severity.WARNING: (N_("{count} warning"), N_("{count} warnings")),
    Severity.NOTE: (N_("{count} note"), N_("{count} notes")),
}
SEVERITY_WORDS = {Severity.ERROR: N_("Error"), Severity.WARNING: N_("Warning"), Severity.NOTE: N_("Note")}


def found_section(content: Content, scene: Scene, word: Wording) -> str:
    """Return the section of findings; one that is on the map has a button that goes there."""
    report = content.report
    placed = marks_of(scene)
    totals = [counted(severity, count, word) for severity, count in _totals(content).items() if count]
    lead = ", ".join(totals) + "." if totals else word.t("The check found nothing.")
    groups: dict[tuple[int, str], list[tuple[int, Finding]]] = {}
    for number, finding in enumerate(report.findings):
        groups.setdefault((finding.severity.rank, finding.rule.id), []).append((number, finding))
    return markup.section(
        "findings",
        word.t("Findings"),
        markup.paragraph(lead),
        _by_field(content, word),
        *(_group(groups[key], placed, content, word) for key in sorted(groups, key=lambda key: key[0])),
    )


def counted(severity: Severity, count: int, word: Wording) -> str:
    """Return how many findings of a severity there are."""
    return word.t(_COUNTED[severity][count != 1], count=word.number(count, 0))


def _totals(content: Content) -> dict[Severity, int]:
    return {severity: content.report.summary[severity] for severity in Severity}


def _by_field(content: Content, word: Wording) -> str:
    """Return a table of the listed findings by field."""
    owners = field_of_things(content.dataset)
    counts: dict[str | None, Counter[Severity]] = {}
    for finding in content.report.findings:
        field = owners.get(finding.place.element or "")
        counts.setdefault(field, Counter())[finding.severity] += 1
    if len(counts) < 2:
        return ""
    names = {field.id: field.name or field.id for field in content.dataset.fields}
    rows = [
        (names[field.id], *(word.number(counts[field.id][severity], 0) for severity in Severity))
        for field in content.dataset.fields
        if field.id in counts
    ]
    if None in counts:
        rows.append((word.t("In no field"), *(word.number(counts[None][severity], 0) for severity in Severity)))
    head = (word.t("Field"), word.t("Errors"), word.t("Warnings"), word.t("Notes"))
    return listed_table(head, rows, len(rows), word, (1, 2, 3))


def _group(group: list[tuple[int, Finding]], placed: set[str], content: Content, word: Wording) -> str:
    first = group[0][1]
    remedies = {word.remedy(finding) for _, finding in group}
    shared = len(remedies) == 1
    items = "".join(_item(number, finding, placed, word, remedy=not shared) for number, finding in group)
    opened = " open" if first.severity is Severity.ERROR else ""
    clause = f" [{first.rule.clause}]" if first.rule.clause else ""
    head = (
        f'<strong class="{first.severity}">{markup.text(word.t(SEVERITY_WORDS[first.severity]))}</strong> '
        f'{markup.text(first.rule.id)}<span class="count"> · {word.number(len(group), 0)}{markup.text(clause)}</span>'
    )
    to_do = markup.paragraph(f"{word.t('What to do')}: {remedies.pop()}") if shared else ""
    return f"<details{opened}><summary>{head}</summary>{to_do}<ul>{items}</ul></details>"


def _item(number: int, finding: Finding, placed: set[str], word: Wording, *, remedy: bool) -> str:
    where = f'<span class="soft" dir="auto">{markup.text(word.phrase(finding.where))}</span> ' if finding.where else ""
    text = f'<span dir="auto">{markup.text(word.message(finding))}</span>'
    to_do = markup.paragraph(f"{word.t('What to do')}: {word.remedy(finding)}") if remedy else ""
    return f"<li>{where}{text}{to_do}{map_button(MARK.format(number), placed, word)}</li>"


def map_button(mark: str, placed: set[str], word: Wording) -> str:
    """Return a button that goes to a place on the map, nothing for what has none."""
    if mark not in placed:
        return ""
    return (
        f' <button type="button" class="live-only" data-mark="{mark}">{markup.text(word.t("Show on the map"))}</button>'
    )
