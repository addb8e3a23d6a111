"""What a cleaning, a conversion or a merge changed, at the places of the things that it concerns."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

import numpy as np

from taskdata.ledger import Loss, LossKind
from taskdata.model.dataset import Dataset
from taskdata.page.layers.findings import places_of
from taskdata.page.scene import Form, SceneLayer, Shape
from taskdata.page.wording import Wording
from taskdata.palette import styles
from taskdata.results.cleaning import Change, Cleaning
from taskdata.results.conversion import Conversion
from taskdata.results.merging import Decision, DecisionKind, Merging
from taskdata.translations import N_

Changed = Cleaning | Conversion | Merging
Concerned = tuple[str, str]
"""What a change concerns: the source whose identifier it is, blank where that is clear, and the identifier."""
LOSS_WORDS = {
    LossKind.DROPPED: N_("Dropped"),
    LossKind.CHANGED: N_("Changed"),
    LossKind.APPROXIMATED: N_("Approximated"),
}
DECISION_WORDS = {
    DecisionKind.RECOGNISED: N_("Treated as the same; check that they are"),
    DecisionKind.CONFLICT: N_("The sources disagree"),
    DecisionKind.RENAMED: N_("Files that nothing refers to, renamed"),
}
_TOLD = 8
"""So many changes are told of one thing."""


def change_layer(changed: Changed, befores: Sequence[Dataset], dataset: Dataset, word: Wording) -> SceneLayer:
    """Return a mark for each thing that changes concern; things without a place have none."""
    of_sources = {source.source: places_of(source) for source in befores}
    places = _Places(places_of(dataset), of_sources, before=not isinstance(changed, Merging))
    found: dict[Concerned, list[tuple[str, str]]] = {}
    for concerned, fact in _facts(changed, word):
        if concerned is not None:
            found.setdefault(concerned, []).append(fact)
    numbers = change_marks(changed)
    shapes = []
    for concerned, facts in found.items():
        at = places.of(concerned)
        if at is not None:
            rest = len(facts) - _TOLD
            more = [("", word.t("and {count} more", count=word.number(rest, 0)))] if rest > 0 else []
            title = word.t(N_("Changed: {name}"), name=concerned[1])
            shapes.append(
                Shape(Form.POINT, [[np.array([at])]], "change", title, [*facts[:_TOLD], *more], mark=numbers[concerned])
            )
    return SceneLayer("change", word.t(styles()["change"].label), shapes, beside=True)


def change_marks(changed: Changed) -> dict[Concerned, str]:
    """Return what each thing that changes concern is called in the page."""
    concerned = dict.fromkeys(item for item in _concerned(changed) if item is not None)
    return {item: f"change-{number}" for number, item in enumerate(concerned)}


def of_change(item: Change) -> Concerned | None:
    """Return what a repair concerns."""
    return ("", item.element) if item.element else None


def of_loss(item: Loss, changed: Changed) -> Concerned | None:
    """Return what a line of the ledger concerns; one of a merge begins with the source that it speaks of."""
    if not item.element:
        return None
    sources = changed.sources if isinstance(changed, Merging) else ()
    return next((name for name in sources if item.what.startswith(f"{name}: ")), ""), item.element


def of_decision(item: Decision) -> Concerned | None:
    """Return what a decision concerns, by its identifier in the result."""
    return ("", item.element) if item.element else None


class _Places:
    """Where things lie in the result and in the sources, in degrees."""

    def __init__(
        self,
        result: Mapping[str, tuple[float, float]],
        sources: Mapping[str, Mapping[str, tuple[float, float]]],
        *,
        before: bool,
    ) -> None:
        self._result, self._sources = result, sources
        self._order = [*sources.values(), result] if before else [result]

    def of(self, concerned: Concerned) -> tuple[float, float] | None:
        """Return where something lies: in its source, or where a journal of one source names it, or in the result."""
        source, identifier = concerned
        tables: Iterable[Mapping[str, tuple[float, float]]] = self._order
        if source:
            tables = [self._sources.get(source, {})]
        at = next((table[identifier] for table in tables if identifier in table), None)
        return at if at is not None and abs(at[0]) <= 360.0 and abs(at[1]) <= 90.0 else None


def _concerned(changed: Changed) -> Iterator[Concerned | None]:
    if isinstance(changed, Cleaning):
        yield from map(of_change, changed.changes)
    elif isinstance(changed, Merging):
        yield from (("", item.element) for item in changed.merged)
        yield from map(of_decision, changed.journal)
        yield from (("", new) for names in changed.renumbered.values() for new in names.values())
    yield from (of_loss(item, changed) for item in changed.losses)


def _facts(changed: Changed, word: Wording) -> Iterator[tuple[Concerned | None, tuple[str, str]]]:
    """Yield each change as a label and words, with what it concerns."""
    if isinstance(changed, Cleaning):
        for item in changed.changes:
            values = " → ".join(word.value(value) or "-" for value in (item.before, item.after))
            yield of_change(item), (item.rule, f"{values}: {word.phrase(item.reason)}")
    elif isinstance(changed, Merging):
        for thing in changed.merged:
            sources = ", ".join(f"{identifier} ({name})" for name, identifier in thing.sources.items())
            yield ("", thing.element), (word.t(N_("Found in several sources, kept once")), sources)
        for decision in changed.journal:
            yield of_decision(decision), (word.t(DECISION_WORDS[decision.kind]), word.phrase(decision.what))
        for source, names in changed.renumbered.items():
            for old, new in names.items():
                yield ("", new), (word.t(N_("Renumbered")), f"{old} → {new} ({source})")
    for loss in changed.losses:
        fact = f"{word.phrase(loss.what)}: {word.phrase(loss.why)}"
        yield of_loss(loss, changed), (word.t(LOSS_WORDS[loss.kind]), fact)
