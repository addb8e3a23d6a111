"""Before and after: shapes that a set no longer has, shapes that are new in it, and the sources of a merge."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from taskdata.model.dataset import Dataset
from taskdata.page.layers.moves import DIFFERENCE_WORDS, MARK, arrow_between, arrow_layer
from taskdata.page.layers.things import Thing, things_of
from taskdata.page.scene import Form, SceneLayer, Shape
from taskdata.page.wording import Wording
from taskdata.palette import styles
from taskdata.results.comparison import Comparison
from taskdata.results.merging import Merging
from taskdata.translations import N_

_TOLD = 4
"""So many differences are told of one shape."""


def compared_layers(comparison: Comparison, other: Dataset, dataset: Dataset, word: Wording) -> Iterator[SceneLayer]:
    """Yield shapes of the first set that the second does not have, and shapes of the second that the first had not."""
    first, second = list(things_of(other, word)), list(things_of(dataset, word))
    for name, things, others, side in (("before", first, second, "a"), ("after", second, first, "b")):
        known = {thing.print for thing in others}
        told = _told(comparison, side, word)
        shapes = [_shape(thing, name, told, word) for thing in things if thing.print not in known]
        yield SceneLayer(name, word.t(styles()[name].label), shapes, beside=name == "before")


def merged_layers(
    merging: Merging, sources: Sequence[Dataset], dataset: Dataset, word: Wording
) -> Iterator[SceneLayer]:
    """Yield the shapes of each source of a merge, each with what became of it, and arrows where one lies elsewhere."""
    after: dict[str, Thing] = {}
    for thing in things_of(dataset, word):
        after |= {key: after.get(key, thing) for key in thing.keys}
    arrows = []
    for number, source in enumerate(sources):
        names = _names_after(merging, source.source)
        shapes = []
        for thing in things_of(source, word):
            now = _after(thing, names, after)
            shapes.append(_source_shape(thing, now, source.source, word))
            arrows += [] if now is None else _arrows(thing, now, word)
        yield SceneLayer(f"before-{number}", word.t(N_("Before: {name}"), name=source.source), shapes, beside=True)
    yield arrow_layer(arrows, word)


def _told(comparison: Comparison, side: str, word: Wording) -> dict[str, list[tuple[int, tuple[str, str]]]]:
    """Return by identifier what differs, with the number of each difference."""
    found: dict[str, list[tuple[int, tuple[str, str]]]] = {}
    for number, item in enumerate(comparison.differences):
        key = item.a if side == "a" else item.b
        if key is not None:
            fact = (word.t(DIFFERENCE_WORDS[item.kind]), word.difference(item))
            found.setdefault(key, []).append((number, fact))
    return found


def _shape(thing: Thing, name: str, told: dict[str, list[tuple[int, tuple[str, str]]]], word: Wording) -> Shape:
    items = [item for key in dict.fromkeys(thing.keys) for item in told.get(key, ())]
    text = N_("Before: {name}") if name == "before" else N_("After: {name}")
    facts = [*thing.facts(word), *(fact for _, fact in items[:_TOLD])]
    marks = " ".join(MARK.format(number) for number, _ in items)
    return _drawn(thing, name, word.t(text, name=thing.title), facts, marks)


def _drawn(thing: Thing, style: str, title: str, facts: Sequence[tuple[str, str]], mark: str = "") -> Shape:
    form = Form.POINT if thing.form is Form.POINT else Form.LINE
    return Shape(form, [list(thing.parts)], style, title, facts, mark=mark)


def _names_after(merging: Merging, source: str) -> Mapping[str, str]:
    """Return the identifiers that things of a source have in the merged set, where the merge says them."""
    joined = {item.sources[source]: item.element for item in merging.merged if source in item.sources}
    return merging.renumbered.get(source, {}) | joined


def _after(thing: Thing, names: Mapping[str, str], after: Mapping[str, Thing]) -> Thing | None:
    """Return what a shape became: what the merge says, or a thing of the same identifier and shape."""
    for key in thing.keys:
        if key in names and names[key] in after:
            return after[names[key]]
    for key in thing.keys:
        if key in after and after[key].print == thing.print:
            return after[key]
    return None


def _source_shape(thing: Thing, now: Thing | None, source: str, word: Wording) -> Shape:
    facts = [(word.t("Source"), source), *thing.facts(word)]
    if now is not None:
        alike = word.t("the same shape") if now.print == thing.print else word.t("another shape")
        facts.append((word.t("In the merged set"), f"{now.title}: {alike}"))
    return _drawn(thing, "before", word.t(N_("Before: {name}"), name=thing.title), facts)


def _arrows(thing: Thing, now: Thing, word: Wording) -> list[Shape]:
    if now.print == thing.print or len(now.parts) != 1 or len(thing.parts) != 1 or now.form is not thing.form:
        return []
    moved = arrow_between(thing.parts[0], now.parts[0], now.title, word)
    return [] if moved is None else [moved]
