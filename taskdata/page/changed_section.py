"""What a conversion, a cleaning or a merge changed: its journal and its ledger."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from taskdata.findings import Fact
from taskdata.ledger import Loss, LossKind
from taskdata.page import markup
from taskdata.page.wording import Wording
from taskdata.reports import words
from taskdata.results.cleaning import Change, Cleaning, Standing
from taskdata.results.conversion import Conversion
from taskdata.results.merging import Decision, DecisionKind, Merging
from taskdata.translations import N_

Changed = Cleaning | Conversion | Merging
_LISTED = 200
_LOSS_WORDS = {
    LossKind.DROPPED: N_("Dropped"),
    LossKind.CHANGED: N_("Changed"),
    LossKind.APPROXIMATED: N_("Approximated"),
}
_STANDING_WORDS = {Standing.SAFE: N_("no information changes"), Standing.REVIEW: N_("a choice was made: look at it")}
_DECISION_WORDS = {
    DecisionKind.RECOGNISED: N_("Treated as the same; check that they are"),
    DecisionKind.CONFLICT: N_("The sources disagree"),
    DecisionKind.RENAMED: N_("Files that nothing refers to, renamed"),
}


def changed_section(changed: Changed | None, word: Wording) -> str:
    """Return the section of what was changed, empty for a page of a set as it is."""
    if changed is None:
        return ""
    sources = changed.sources if isinstance(changed, Merging) else (changed.source,)
    made = word.t("Made of {sources}.", sources=", ".join(sources))
    parts = [markup.paragraph(made)]
    if isinstance(changed, Cleaning):
        parts += _cleaned(changed, word)
    elif isinstance(changed, Merging):
        parts += _merged(changed, word)
    return markup.section("changed", word.t("What was changed"), *parts, _ledger(changed.losses, word))


def _cleaned(result: Cleaning, word: Wording) -> Iterator[str]:
    counts = {"before": word.number(result.before["error"], 0), "after": word.number(result.after["error"], 0)}
    yield markup.paragraph(word.t("Errors before: {before}, after: {after}.", **counts))
    groups: dict[str, list[Change]] = {}
    for change in result.changes:
        groups.setdefault(change.rule, []).append(change)
    head = (word.t("Where"), word.t("Before"), word.t("After"), word.t("Why"))
    for rule, changes in groups.items():
        rows = [
            (" ".join(filter(None, (item.file, item.element))), _fact(item.before), _fact(item.after), item.reason)
            for item in changes
        ]
        yield _listed(f"{rule}: {word.t(_STANDING_WORDS[changes[0].standing])}", head, rows, word)
    if not groups:
        yield markup.paragraph(word.t("Nothing was repaired."))


def _merged(result: Merging, word: Wording) -> Iterator[str]:
    both = [(item.element, item.what, str(item.how), ", ".join(item.sources)) for item in result.merged]
    head = (word.t("Identifier"), word.t("What"), word.t("Recognised by"), word.t("Stands in"))
    yield _listed(word.t("Found in several sources, kept once"), head, both, word)
    head = (word.t("What"), word.t("Why"), word.t("Kept"), word.t("Not kept"))
    for kind, title in _DECISION_WORDS.items():
        rows = [_decision(item) for item in result.journal if item.kind is kind]
        yield _listed(word.t(title), head, rows, word)
    moved = [(old, new, source) for source, names in result.renumbered.items() for old, new in names.items()]
    yield _listed(word.t("Renumbered"), (word.t("Before"), word.t("After"), word.t("Source")), moved, word)


def _decision(item: Decision) -> tuple[str, ...]:
    what = f"{item.element}: {item.what}" if item.element else item.what
    return what, item.why, item.kept or "", "; ".join(item.dropped)


def _ledger(losses: Sequence[Loss], word: Wording) -> str:
    if not losses:
        return markup.paragraph(word.t("Nothing of what was read is lost."))
    rows = [
        (word.t(_LOSS_WORDS[item.kind]), f"{item.element}: {item.what}" if item.element else item.what, item.why)
        for item in losses
    ]
    head = (word.t("Kind"), word.t("What"), word.t("Why"))
    return _listed(word.t("What the target does not hold as it was"), head, rows, word)


def _listed(title: str, head: Sequence[str], rows: Sequence[Sequence[str]], word: Wording) -> str:
    """Return rows below a title that says how many they are, empty without one."""
    if not rows:
        return ""
    rest = len(rows) - _LISTED
    more = markup.paragraph(word.t("and {count} more", count=word.number(rest, 0))) if rest > 0 else ""
    count = f'<span class="count"> · {word.number(len(rows), 0)}</span>'
    summary = f'<summary><span dir="auto">{markup.text(title)}</span>{count}</summary>'
    return f"<details open>{summary}{markup.table(head, rows[:_LISTED])}{more}</details>"


def _fact(value: Fact) -> str:
    return "" if value is None else words.spoken(value)
