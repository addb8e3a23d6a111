"""What a conversion did, for a person: what is lost stands before what was written."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from itertools import groupby

from taskdata.findings import Finding
from taskdata.ledger import Loss, LossKind
from taskdata.reports import words
from taskdata.reports.choosing import chosen_lines
from taskdata.reports.datum import datum_lines
from taskdata.reports.new_errors import new_errors_lines
from taskdata.reports.reading import counts_text, nothing_lost, noticed, unread_lines
from taskdata.reports.styled import Line, Style, wrapped
from taskdata.results.conversion import Conversion, WrittenStick

STYLES: dict[LossKind, Style] = {
    LossKind.DROPPED: "error",
    LossKind.CHANGED: "warning",
    LossKind.APPROXIMATED: "note",
}
HINTS = "Hints of the profile, for which nothing was changed; confirm them in it to have the set changed"
SHOWN = 50
ALIKE = 20
CAUTION = (
    "Lines steer machines and rates feed sprayers: check fields, lines and rates on the receiving display before work, "
    "and drive the first pass by eye."
)


def convert_text(result: Conversion, *, dry_run: bool = False, caution: bool = True) -> list[Line]:
    """Return ledger, counts and datum in lines of 80 columns; of many equal losses the first are listed.

    ``caution`` ends them with what to mind before work, unless that stands elsewhere on the screen.
    """
    done = "Nothing was written (dry run). The result would be:" if dry_run else f"Written: {result.target}"
    lines = [Line(f"{result.source} -> {result.target}", "heading"), *wrapped(done)]
    lines += wrapped(f"Content: {counts_text(result.written, result.named)}.", hanging=2)
    lines += chosen_lines(result.chosen)
    lines += _sticks(result.sticks)
    lines += datum_lines(result.datum)
    lines += outcome(result.losses, result.findings, result.new_errors, part=result.chosen is not None)
    lines += _hints(result.beyond_hints)
    return [*lines, Line(""), *wrapped(CAUTION, style="quiet")] if caution else lines


def _hints(findings: Sequence[Finding]) -> list[Line]:
    """Return what the terminal may not accept, nothing where no hint of its profile says so."""
    if not findings:
        return []
    lines = [Line(""), *wrapped(f"{HINTS}:", style="heading")]
    for finding in findings:
        lines += wrapped(f"NOTE  {words.message(finding)}", 2, style="note", hanging=2)
    return lines


def outcome(
    losses: Sequence[Loss],
    findings: Sequence[Finding],
    errors: Sequence[Finding] = (),
    *,
    whole: bool = False,
    part: bool = False,
) -> list[Line]:
    """Return what could not be read, what is lost of what could, new errors, and what else reading found.

    ``whole`` says that the target holds all the same what could not be read, out of another source, ``part`` that only
    a part of the source was chosen.
    """
    lost = ledger(losses) or nothing_lost(findings, losses, whole=whole, part=part)
    blocks = [unread_lines(findings), lost, new_errors_lines(errors)[1:], noticed(findings)]
    return [line for block in blocks if block for line in (Line(""), *block)]


def _sticks(sticks: Sequence[WrittenStick]) -> list[Line]:
    """Name each stick with what stands on it."""
    if not sticks:
        return []
    told = f"Too much for the terminal at once: {len(sticks)} sticks, each complete in itself. Put the folder TASKDATA"
    lines = wrapped(f"{told} of each on its own stick.", hanging=2)
    for stick in sticks:
        lines += wrapped(f"{stick.target}: {counts_text(stick.written, {})}.", 2, hanging=2)
    return lines


def ledger(losses: Sequence[Loss]) -> list[Line]:
    """Return the ledger, what is left out first; of many losses for one reason the first are listed."""
    if not losses:
        return []
    total = words.counted(len(losses), "line")
    lines = [Line(f"Not carried over unchanged ({total}):", "heading")]
    order = list(LossKind)
    ordered = sorted(losses, key=lambda loss: (order.index(loss.kind), loss.what, loss.why))
    alike: Counter[tuple[LossKind, str]] = Counter()
    for (kind, what, why), group in groupby(ordered, key=lambda loss: (loss.kind, loss.what, loss.why)):
        alike[kind, why] += 1
        if alike[kind, why] > ALIKE:
            continue
        lines += wrapped(f"{str(kind).upper()}  {what}: {why}.", 2, style=STYLES[kind], hanging=2)
        names = [loss.element for loss in group if loss.element is not None]
        rest = f" and {len(names) - SHOWN} more" if len(names) > SHOWN else ""
        if names:
            lines += wrapped(f"{', '.join(names[:SHOWN])}{rest}", 4)
    for (kind, why), count in alike.items():
        if count > ALIKE:
            told = f"{str(kind).upper()}  {count - ALIKE} more for the same reason: {why}. --json lists each."
            lines += wrapped(told, 2, style=STYLES[kind], hanging=2)
    return lines
