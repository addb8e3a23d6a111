"""Write and read in one step, for the tests of formats."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from taskdata.file_formats.declaration import Carries, Layers
from taskdata.file_formats.table import format_named, formats_of_layers
from taskdata.formats.base import LayerFiles
from taskdata.formats.columns import Layer
from taskdata.formats.layers.of_dataset import project
from taskdata.formats.placing.placed_layers import PlacedLayers
from taskdata.formats.read import read
from taskdata.formats.registry import writer
from taskdata.ledger import Loss
from taskdata.model.carried import Carried
from taskdata.model.dataset import Dataset

FORMATS = tuple(form.name for form in formats_of_layers() if form.reads and form.carries is not Carries.NOWHERE)
"""The formats that bring a whole set back."""


def put(dataset: Dataset, form: str, folder: Path, carried: Carried | None) -> tuple[Path, list[Loss]]:
    """Write a data set below ``folder`` and return where, and the ledger."""
    return put_layers(project(dataset), form, folder, carried)


def put_layers(
    layers: Sequence[Layer], form: str, folder: Path, carried: Carried | None = None
) -> tuple[Path, list[Loss]]:
    """Write layers below ``folder`` and return where, and the ledger."""
    declared, driver = format_named(form), writer(form)
    files = LayerFiles(folder / "layers", declared.suffix)
    if declared.layers is Layers.SEVERAL:
        files = LayerFiles(folder / f"layers{declared.suffix}")
    (files.path if files.suffix else folder).mkdir(parents=True, exist_ok=True)
    driver.write(files, layers, carried)
    return files.path, driver.losses(layers)


def there_and_back(dataset: Dataset, form: str, folder: Path, carried: Carried | None) -> PlacedLayers:
    """Write a data set and read it again."""
    return read(put(dataset, form, folder, carried)[0])


def file_target(folder: Path, form: str) -> Path:
    """Return a target for a whole set: a file where the format holds it in one, else a folder."""
    declared = format_named(form)
    return folder / (f"farm of mine{declared.suffix}" if declared.layers is Layers.SEVERAL else "layers")
