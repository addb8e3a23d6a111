"""Data sets into GIS formats."""

from __future__ import annotations

from pathlib import Path

from taskdata.formats.drivers import DRIVERS
from taskdata.formats.project import project, unheld
from taskdata.ledger import Loss
from taskdata.model.dataset import Dataset


def write(path: Path, form: str, dataset: Dataset) -> list[Loss]:
    """Write the layers of a data set, and all that it carries, and return the ledger.

    Parameters
    ----------
    path : Path
        A folder that exists; for ``gpkg`` the path of a file that does not.
    form : str
        ``geojson``, ``shapefile``, ``gpkg`` or ``parquet``.

    Raises
    ------
    TargetError
        The format cannot hold a layer at all.
    """
    carried = dataset.lossless.carried() if dataset.lossless else None
    return unheld(dataset) + DRIVERS[form].write(path, project(dataset), carried)


def losses(form: str, dataset: Dataset) -> list[Loss]:
    """Return the ledger that `write` would return, and write nothing."""
    carried = dataset.lossless.carried() if dataset.lossless else None
    return unheld(dataset) + DRIVERS[form].losses(project(dataset), carried)
