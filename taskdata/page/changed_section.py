"""What a conversion, a cleaning or a merge changed: its journal and its ledger."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from taskdata.dataclass import dataclass
from taskdata.ledger import Loss
from taskdata.page import markup
from taskdata.page.found_section import map_button
from taskdata.page.layers.changes import (
    DECISION_WORDS,
    LOSS_WORDS,
    Changed,
    Concerned,
    change_marks,
    of_change,
    of_decision,
    of_loss,
)
from taskdata.page.long_lists import LISTED, more
from taskdata.page.scene import Scene, marks_of
from taskdata.page.wording import Wording
from taskdata.results.cleaning import Change, Cleaning, Standing
from taskdata.results.merging import Decision, Merging
from taskdata.translations import N_

_STANDING_WORDS = {Standing.SAFE: N_("no information changes"), Standing.REVIEW: N_("a choice was made: look at it")}
Row = tuple[Concerned | None, tuple[str, ...]]


def changed_section(changed: Changed | None, scene: Scene, word: Wording) -> str:
    """Return the section of what was changed, empty for a page of a set as it is."""
    if changed is None:
        return ""
    lists = _Lists(change_marks(changed), marks_of(scene), word)
    sources = changed.sources if isinstance(changed, Merging) else (changed.source,)
    made = word.t("Made of {sources}.", sources=", ".join(sources))
    parts = [markup.paragraph(made)]
    if isinstance(changed, Cleaning):
        parts += _cleaned(changed, lists, word)
    elif isinstance(changed, Merging):
        parts += _merged(changed, lists, word)
    return markup.section("changed", word.t("What was changed"), *parts, _ledger(changed, lists, word))


@dataclass(frozen=True)
class _Lists:
    """Lists of changes, each with a button that goes to what it concerns.

    Parameters
    ----------
    marks : dict of (str, str) to str
        What things are called in the page.
    placed : set of str
        What of them is on the map.
    word : Wording
    """

    marks: dict[Concerned, str]
    placed: set[str]
    word: Wording

    def of(self, title: str, head: Sequence[str], rows: Sequence[Row]) -> str:
        """Return rows below a title that says how many they are, empty without one."""
        if not rows:
            return ""
        word, shown = self.word, rows[:LISTED]
        count = f'<span class="count"> · {word.number(len(rows), 0)}</span>'
        summary = f'<summary><span dir="auto">{markup.text(title)}</span>{count}</summary>'
        buttons = [map_button(self.marks.get(row[0] or ("", ""), ""), self.placed, word) for row in shown]
        table = markup.table(head, [cells for _, cells in shown], ends=buttons)
        return f"<details open>{summary}{table}{more(len(rows), word)}</details>"


def _cleaned(result: Cleaning, lists: _Lists, word: Wording) -> Iterator[str]:
    counts = {"before": word.number(result.before["error"], 0), "after": word.number(result.after["error"], 0)}
    yield markup.paragraph(word.t("Errors before: {before}, after: {after}.", **counts))
    groups: dict[str, list[Change]] = {}
    for change in result.changes:
        groups.setdefault(change.rule, []).append(change)
    head = (word.t("Where"), word.t("Before"), word.t("After"), word.t("Why"))
    for rule, changes in groups.items():
        rows = [(of_change(item), _repair(item, word)) for item in changes]
        yield lists.of(f"{rule}: {word.t(_STANDING_WORDS[changes[0].standing])}", head, rows)
    if not groups:
        yield markup.paragraph(word.t("Nothing was repaired."))


def _repair(item: Change, word: Wording) -> tuple[str, ...]:
    where = " ".join(filter(None, (item.file, item.element)))
    return where, word.value(item.before), word.value(item.after), word.phrase(item.reason)


def _merged(result: Merging, lists: _Lists, word: Wording) -> Iterator[str]:
    both: list[Row] = [
        (
            ("", item.element),
            (item.element, word.phrase(item.what), word.t(item.how), ", ".join(item.sources)),
        )
        for item in result.merged
    ]
    head: tuple[str, ...] = (word.t("Identifier"), word.t("What"), word.t("Recognised by"), word.t("Stands in"))
    yield lists.of(word.t("Found in several sources, kept once"), head, both)
    head = (word.t("What"), word.t("Why"), word.t("Kept"), word.t("Not kept"))
    for kind, title in DECISION_WORDS.items():
        rows: list[Row] = [(of_decision(item), _decision(item, word)) for item in result.journal if item.kind is kind]
        yield lists.of(word.t(title), head, rows)
    moved: list[Row] = [
        (("", new), (old, new, source)) for source, names in result.renumbered.items() for old, new in names.items()
    ]
    yield lists.of(word.t("Renumbered"), (word.t("Before"), word.t("After"), word.t("Source")), moved)


def _decision(item: Decision, word: Wording) -> tuple[str, ...]:
    kept = "" if item.kept is None else word.phrase(item.kept)
    return _told(item, word), word.phrase(item.why), kept, "; ".join(map(word.phrase, item.dropped))


def _told(item: Decision | Loss, word: Wording) -> str:
    """Return what is meant, with its identifier before it where it has one."""
    what = word.phrase(item.what)
    return f"{item.element}: {what}" if item.element else what


def _ledger(changed: Changed, lists: _Lists, word: Wording) -> str:
    if not changed.losses:
        return markup.paragraph(word.t("Nothing of what was read is lost."))
    rows: list[Row] = []
    for item in changed.losses:
        cells = (word.t(LOSS_WORDS[item.kind]), _told(item, word), word.phrase(item.why))
        rows.append((of_loss(item, changed), cells))
    head = (word.t("Kind"), word.t("What"), word.t("Why"))
    return lists.of(word.t("What the target does not hold as it was"), head, rows)
