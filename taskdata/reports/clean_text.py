"""What a cleaning did, for a person."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from taskdata.findings import Finding
from taskdata.reports import words
from taskdata.reports.new_errors import new_errors_lines
from taskdata.reports.reading import unread_lines
from taskdata.reports.styled import Line, wrapped
from taskdata.results.cleaning import Change, Cleaning, Standing

SHOWN = 20
CAUTION = (
    "Repairs change data that steers machines: look at everything under REVIEW, and drive the first pass by eye. Obey "
    "the product label and local rules."
)


def clean_text(result: Cleaning, *, dry_run: bool = False) -> list[Line]:
    """Return the journal by rule, what is left and what to do, in lines of 80 columns."""
    done = "Nothing was written (dry run). The result would be:" if dry_run else f"Written: {result.target}"
    lines = [Line(f"{result.source} -> {result.target}", "heading"), *wrapped(done), *wrapped(_counts(result))]
    if not result.changes:
        lines.append(Line("Nothing was changed."))
    for standing in Standing:
        lines += _changes([change for change in result.changes if change.standing is standing], standing)
    lines += _failed(result.failed)
    if result.left:
        lines += [
            Line(""),
            *wrapped(f"Left for you: {words.counted(len(result.left), 'finding')}; taskdata check lists them."),
        ]
    unread = unread_lines(result.findings)
    lines += [Line(""), *unread] if unread else []
    lines += new_errors_lines(result.new_errors)
    return [*lines, Line(""), *wrapped(CAUTION, style="quiet")]


def _failed(failed: Sequence[Finding]) -> list[Line]:
    """Return each repair that failed and what to do about it."""
    texts = (f"{str(item.severity).upper()}  {words.message(item)} {words.remedy(item)}" for item in failed)
    told = [line for text in texts for line in wrapped(text, style="error", hanging=2)]
    return [Line(""), *told] if told else []


def _counts(result: Cleaning) -> str:
    parts = [f"{name}s {result.before[name]} -> {result.after[name]}" for name in result.before]
    return f"Findings: {', '.join(parts)}."


def _changes(changes: Sequence[Change], standing: Standing) -> Iterator[Line]:
    if not changes:
        return
    yield Line("")
    style = "note" if standing is Standing.SAFE else "warning"
    yield Line(f"{str(standing).upper()}  {words.counted(len(changes), 'change')}", style)  # type: ignore[arg-type]
    by_rule: dict[str, list[Change]] = {}
    for change in changes:
        by_rule.setdefault(change.rule, []).append(change)
    for rule, group in by_rule.items():
        yield Line(f"  {rule}")
        for change in group[:SHOWN]:
            spot = " ".join(item for item in (change.file, change.element) if item)
            told = f"{words.spoken(change.before)} -> {words.spoken(change.after)}: {change.reason}."
            yield from wrapped(f"{spot}: {told}", 4, hanging=2)
        if len(group) > SHOWN:
            yield Line(f"    and {len(group) - SHOWN} more in the journal")
