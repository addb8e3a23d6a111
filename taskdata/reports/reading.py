"""What reading a source found, beside every result: in its document, and in words."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from taskdata.arguments import as_option
from taskdata.findings import Finding, Unread, unread_of
from taskdata.ledger import Loss
from taskdata.phrases import phrase
from taskdata.reports import words
from taskdata.reports.check_json import finding_document
from taskdata.reports.check_text import STYLES
from taskdata.reports.styled import Line, wrapped

NOTICED = 10
AGAIN = "Copy the whole set again from the original, if it still exists, and run this again."


def reading_document(findings: Sequence[Finding], warnings: Iterable[str] = ()) -> dict[str, Any]:
    """Return what every document holds of reading: ``findings``, ``warnings`` and ``unread``.

    Parameters
    ----------
    findings : sequence of Finding
        What reading found.
    warnings : iterable of str
        What else the text says beside the result.
    """
    unread = unread_of(findings)
    return {
        "findings": finding_documents(findings),
        "warnings": [*map(unread_sentence, unread), *warnings],
        "unread": [{"file": item.file, "what": item.what, "why": item.why} for item in unread],
    }


def finding_documents(findings: Iterable[Finding]) -> list[dict[str, Any]]:
    """Return what a document holds of findings, each with the standing of the repair of its rule."""
    found = list(findings)
    if not found:
        return []
    from taskdata.repairs.registry import standings  # noqa: PLC0415  # loads every repair, which most sets do not need

    return [finding_document(finding, standings().get(finding.rule.id)) for finding in found]


def unread_sentence(item: Unread) -> str:
    """Return what could not be read, as a sentence."""
    facts = {"file": item.file, "kind": item.what, "why": item.why}
    if not item.otherwise:
        return phrase("{file} ({kind}) {why}.", **facts)
    return phrase("{file} ({kind}) {why}; {otherwise}.", **facts, otherwise=as_option(item.otherwise))


def unread_lines(findings: Sequence[Finding]) -> list[Line]:
    """Return what could not be read in lines of 80 columns, nothing where all could."""
    unread = unread_of(findings)
    if not unread:
        return []
    heading = f"Could not be read in full ({words.counted(len(unread), 'file')}):"
    lines = [Line(heading, "error")]
    for item in unread:
        lines += wrapped(unread_sentence(item), 2, style="error", hanging=2)
    return [*lines, *wrapped(AGAIN, 2, hanging=2)]


def noticed(findings: Sequence[Finding]) -> list[Line]:
    """Return what else reading found wrong, gravest first; a check names all of it. Nothing where there is nothing."""
    ordered = sorted((item for item in findings if item.unread is None), key=lambda finding: finding.severity.rank)
    if not ordered:
        return []
    lines = [Line(f"Found while reading the source ({words.counted(len(ordered), 'finding')}):", "heading")]
    for finding in ordered[:NOTICED]:
        text = f"{str(finding.severity).upper()}  {words.message(finding)} {words.remedy(finding)}"
        lines += wrapped(text, 2, style=STYLES[finding.severity], hanging=2)
    rest = len(ordered) - NOTICED
    return lines + (wrapped(f"{rest} more: taskdata check lists each with its place.", 2) if rest > 0 else [])


def nothing_lost(
    findings: Sequence[Finding], losses: Sequence[Loss], *, whole: bool = False, part: bool = False
) -> list[Line]:
    """Return the sentence that closes a result without losses, nothing where there are some.

    What could not be read is lost, unless ``whole`` says that another source had it; then nothing *else* is. ``part``
    says that only a part was chosen.
    """
    if losses:
        return []
    unread = unread_of(findings)
    nothing = "nothing of what was chosen" if part else "nothing"
    if not unread:
        return [Line(f"Nothing {'of what was chosen' if part else 'that was read'} is lost.")]
    if whole:
        return [Line(f"Another source has it; {nothing} is lost.")]
    subject = f"Apart from {'that file' if len(unread) == 1 else f'those {len(unread)} files'}"
    return [Line(f"{subject}, {nothing} is lost.")]


def counts_text(counts: Mapping[str, int], named: Mapping[str, int]) -> str:
    """Return how many things of each kind there are; where not all logs or grids could be read, of how many.

    Parameters
    ----------
    counts : mapping of str to int
        What was read, by kind.
    named : mapping of str to int
        How many logs and grids the set names, where that is known.
    """
    told = []
    for kind, count in counts.items():
        of = named.get(kind, count)
        if kind == "log_records" or not max(count, of):
            continue
        text = f"{kind.replace('_', ' ')} {count}"
        if of > count:
            text += f" of {of}"
            text += f" ({counts.get('log_records', 0):,} records)" if kind == "logs" else ""
        told.append(text)
    return ", ".join(told) or "nothing"
