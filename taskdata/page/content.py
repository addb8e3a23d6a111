"""What a page is made of: a set, its audit, its field work, and what it is compared with."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from taskdata.dataclass import dataclass
from taskdata.model.dataset import Dataset
from taskdata.page.layers.before import compared_layers, merged_layers
from taskdata.page.layers.changes import Changed, change_layer
from taskdata.page.layers.findings import finding_layers
from taskdata.page.layers.ground import area_layers, field_layer, line_layer, point_layer
from taskdata.page.layers.guidance import guidance_layers
from taskdata.page.layers.moves import move_layer
from taskdata.page.layers.rates import rate_layers
from taskdata.page.layers.work import coverage_layers, track_layers
from taskdata.page.nowhere import on_earth
from taskdata.page.scene import Scene, SceneLayer, scene_of
from taskdata.page.wording import Wording
from taskdata.results.audit import CheckReport
from taskdata.results.comparison import Comparison
from taskdata.results.coverage import Coverage, Known
from taskdata.results.merging import Merging


@dataclass(frozen=True, slots=True)
class Content:
    """What a page shows.

    Parameters
    ----------
    dataset : Dataset
    report : CheckReport
    tasks : sequence of Coverage
        What tasks with logs covered.
    comparison : Comparison or None
        Another set, compared with this one, this one being the second.
    other : Dataset or None
        That other set.
    changed : Cleaning, Conversion, Merging or None
        What made this set of another one.
    sources : sequence of Dataset
        Of a merge the sets that it was made of.
    """

    dataset: Dataset
    report: CheckReport
    tasks: Sequence[Coverage] = ()
    comparison: Comparison | None = None
    other: Dataset | None = None
    changed: Changed | None = None
    sources: Sequence[Dataset] = ()


def scene(content: Content, word: Wording) -> Scene:
    """Return the map of a page, its layers from the lowest to the topmost.

    Outlines of fields, and what nobody should drive into, lie above rates and coverage, which would hide them.
    """
    dataset = content.dataset
    worked = {task.task for task in content.tasks if task.known is not Known.NOTHING}
    layers = [
        *area_layers(dataset, word, kept_clear=False),
        *rate_layers(dataset, word, worked),
        *coverage_layers(content.tasks, word),
        *area_layers(dataset, word, kept_clear=True),
        field_layer(dataset, word),
        *track_layers(dataset, word),
        line_layer(dataset, word),
        *guidance_layers(dataset, word),
        point_layer(dataset, word),
    ]
    layers += _changes(content, word)
    layers += finding_layers(content.report.findings, dataset, word)
    return scene_of(on_earth(layer, word) for layer in layers)


def _changes(content: Content, word: Wording) -> Iterator[SceneLayer]:
    """Yield what was there before, what is new, and what was changed."""
    dataset, other = content.dataset, content.other
    if isinstance(content.changed, Merging) and content.sources:
        yield from merged_layers(content.changed, content.sources, dataset, word)
    if content.comparison is not None and other is not None:
        yield from compared_layers(content.comparison, other, dataset, word)
        yield move_layer(content.comparison, other, word)
    if content.changed is not None:
        befores = [*content.sources, *([other] if other is not None else [])]
        yield change_layer(content.changed, befores, dataset, word)
