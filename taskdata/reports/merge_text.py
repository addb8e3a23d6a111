"""What a merge did, for a person: what to look at stands before what was written."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from taskdata.reports import words
from taskdata.reports.choosing import chosen_lines
from taskdata.reports.convert_text import CAUTION, outcome
from taskdata.reports.reading import counts_text
from taskdata.reports.styled import Line, wrapped
from taskdata.results.merging import Decision, DecisionKind, Merging

_HEADINGS = {
    DecisionKind.RECOGNISED: "Treated as the same; check that they are",
    DecisionKind.CONFLICT: "The sources disagree",
    DecisionKind.RENAMED: "Files that nothing refers to, renamed",
}


def merge_text(result: Merging, *, dry_run: bool = False) -> list[Line]:
    """Return counts, journal and ledger in lines of 80 columns."""
    done = "Nothing was written (dry run). The result would be:" if dry_run else f"Written: {result.target}"
    lines = [Line(f"{words.counted(len(result.sources), 'source')} -> {result.target}", "heading"), *wrapped(done)]
    lines += wrapped(f"Content: {counts_text(result.written, result.named)}.", hanging=2)
    lines += chosen_lines(result.chosen)
    ways = Counter(str(item.how) for item in result.merged)
    if ways:
        told = ", ".join(f"{count} by {how}" for how, count in ways.items())
        lines += wrapped(f"Found in several sources, kept once: {told}.", hanging=2)
    for source, changes in result.renumbered.items():
        if changes:
            told = ", ".join(f"{old} -> {new}" for old, new in changes.items())
            lines += wrapped(f"Renumbered from {source}: {told}.", hanging=2)
    lines += _journal(result)
    whole, part = not result.lacking, result.chosen is not None
    lines += outcome(result.losses, result.findings, result.new_errors, whole=whole, part=part)
    return [*lines, Line(""), *wrapped(CAUTION, style="quiet")]


def _journal(result: Merging) -> Iterator[Line]:
    for kind, heading in _HEADINGS.items():
        found = [item for item in result.journal if item.kind is kind]
        if found:
            yield Line("")
            yield Line(f"{heading} ({len(found)}):", "warning")
        for item in found:
            yield from wrapped(_sentence(item), 2, hanging=2)


def _sentence(item: Decision) -> str:
    if item.kind is DecisionKind.CONFLICT:
        kept = "nothing" if item.kept is None else _told(item.kept)
        return f"{item.what}: {kept} kept, not {', '.join(map(_told, item.dropped))}; {item.why}."
    if item.kind is DecisionKind.RENAMED:
        return f"{item.what} became {item.kept}: {item.why}."
    return f"{item.what}: {item.kept}; {', '.join(item.dropped)}; {item.why}."


def _told(text: str) -> str:
    """Return a value in quotes; which source is meant stands without."""
    return text if text.startswith("as in ") else repr(text)
