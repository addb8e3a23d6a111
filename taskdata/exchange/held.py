"""Which layers of a set a target in a GIS format holds, and what of the set it does not."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType

from taskdata.errors import UsageError
from taskdata.exchange.targets import Target
from taskdata.file_formats.declaration import Carries, Layers, Shape
from taskdata.file_formats.table import alternatives, formats_of_layers, joined
from taskdata.formats.columns import GeometryType, Layer
from taskdata.formats.layers.of_dataset import project, unheld
from taskdata.isoxml.tree.document import Document
from taskdata.ledger import Loss, LossKind
from taskdata.model.dataset import Dataset
from taskdata.phrases import phrase

_SHAPES: Mapping[GeometryType, Shape] = MappingProxyType(
    {
        GeometryType.POINT: Shape.POINT,
        GeometryType.LINE: Shape.LINE,
        GeometryType.POLYGON: Shape.POLYGON,
        GeometryType.MULTIPOLYGON: Shape.POLYGON,
    }
)


def held(dataset: Dataset, document: Document | None, goal: Target) -> tuple[list[Layer], list[Loss]]:
    """Return the layers that a target holds of records and the document behind them, and what it loses of the set.

    Logs stand in it as a person reads them, and as they are stored where that brings them back or is asked for.

    Raises
    ------
    UsageError
        The target is one file of one layer, and there are several; or it holds none of the layers.
    """
    carried = document is not None and goal.carries
    stored = carried or goal.raw
    whole = goal.is_alone or not carried or bool(goal.form.folder_files)  # a file of tables alone is no layer
    every = project(dataset, whole=whole, stored=stored, readable=not goal.raw)
    layers = [layer for layer in every if _fits(layer, goal)]
    kinds = (
        f"{goal.form.label} holds {joined([shape.value for shape in Shape if shape in goal.form.shapes], 'and')} alone"
    )
    if every and not layers:
        raise UsageError(f"{kinds}, and there are none", where=goal.named, remedy=f"Choose {_with_all()}")
    if goal.is_alone and len(layers) > 1:
        _refuse_several(layers, goal)
    losses = [
        Loss(LossKind.DROPPED, None, phrase("layer {name}", name=layer.name), kinds)
        for layer in every
        if layer not in layers
    ]
    return layers, [*losses, *([] if carried else _not_carried(dataset, document, goal))]


def _fits(layer: Layer, goal: Target) -> bool:
    return layer.spec.geometry is None or _SHAPES[layer.spec.geometry] in goal.form.shapes


def _with_all() -> str:
    """Return the names of the formats that hold every kind of shape."""
    forms = [form for form in formats_of_layers() if form.writes and form.shapes >= set(Shape)]
    return joined([form.name for form in forms])


def _refuse_several(layers: Sequence[Layer], goal: Target) -> None:
    files = [form.suffix for form in formats_of_layers() if form.writes and form.layers is Layers.SEVERAL]
    raise UsageError(
        f"one {goal.form.file_noun} holds one layer, and there are {len(layers)}",
        where=goal.named,
        why=joined([layer.name for layer in layers], "and"),
        remedy=f"Name a folder and give [[to={goal.format}]], or name a {joined(files)} file",
    )


def _not_carried(dataset: Dataset, document: Document | None, goal: Target) -> list[Loss]:
    """Return what layers lose of a set that the target does not carry along."""
    if document is None:
        why = phrase("GIS layers cannot hold it, and there is no task data set behind it to carry along")
        return unheld(dataset, why)
    place = "one file of one layer" if goal.is_alone else goal.form.label
    other = "name a folder" if goal.form.carries is Carries.IN_FOLDERS else f"convert to {alternatives(goal.format)}"
    why = phrase(
        "{place} has no place for the tables that carry the whole set; {other} to keep it", place=place, other=other
    )
    rest = Loss(
        LossKind.DROPPED, None, phrase("everything else in the task data set that no column of a layer shows"), why
    )
    return [*unheld(dataset, why), rest]
