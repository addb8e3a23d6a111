"""Write and read in one step, for the tests of formats."""

from __future__ import annotations

from pathlib import Path

from taskdata.formats.layers.of_dataset import project
from taskdata.formats.placing.placed_layers import PlacedLayers
from taskdata.formats.read import read
from taskdata.formats.registry import DRIVERS, SINGLE_FILE
from taskdata.ledger import Loss
from taskdata.model.carried import Carried
from taskdata.model.dataset import Dataset

FORMATS = tuple(DRIVERS)


def put(dataset: Dataset, form: str, folder: Path, carried: Carried | None) -> tuple[Path, list[Loss]]:
    """Write a data set below ``folder`` and return where, and the ledger."""
    path = folder / ("layers.gpkg" if form in SINGLE_FILE else "layers")
    (path.parent if form in SINGLE_FILE else path).mkdir(parents=True, exist_ok=True)
    return path, DRIVERS[form].write(path, project(dataset), carried)


def there_and_back(dataset: Dataset, form: str, folder: Path, carried: Carried | None) -> PlacedLayers:
    """Write a data set and read it again."""
    return read(put(dataset, form, folder, carried)[0])
