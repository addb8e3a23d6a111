"""KML 2.0 to 2.3 (OGC 07-147r2, OGC 12-007r2): a layer for each folder with placemarks, a log for each track."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from pathlib import Path

from taskdata.formats.base import LayerFiles, Tables, read_each
from taskdata.formats.columns import Layer
from taskdata.formats.drivers.kml_read import THROUGH, Reading
from taskdata.formats.drivers.kml_text import document
from taskdata.formats.drivers.ogr import writing
from taskdata.formats.heads import kml_columns
from taskdata.formats.markup.reading import read_markup
from taskdata.formats.markup.text import unheld
from taskdata.ledger import Loss
from taskdata.model.carried import Carried


class Kml:
    """The driver; a layer a file."""

    def losses(self, layers: Sequence[Layer]) -> list[Loss]:
        """Return the characters that XML cannot hold: everything else of a layer has its place."""
        return [loss for layer in layers for loss in unheld(layer)]

    def write(self, target: LayerFiles, layers: Sequence[Layer], carried: Carried | None) -> None:
        """Write each layer into its file, coordinates with every digit."""
        for layer in layers:
            with writing(target.path), target.of(layer).open("w", encoding="utf-8", newline="\n") as file:
                file.writelines(document(layer))

    def column_names(self, path: Path) -> Mapping[str, Collection[str]]:
        """Return the names of the columns of the file, those that are elements of their own among them."""
        return {path.stem: kml_columns(path.open("rb"))}

    def read(self, path: Path, files: Sequence[Path]) -> Tables:
        """Return the tables of each file."""
        return read_each(files, read_file)


DRIVER = Kml()


def read_file(path: Path) -> Tables:
    """Return the folders of a file as tables, each of its timed tracks as one, and what is wrong in it.

    Links to other files or addresses are not followed.

    Raises
    ------
    SourceError
        It holds nothing that can be read.
    """
    return read_markup(
        path, lambda: path.open("rb"), path.stat().st_size, Reading(path), through=THROUGH, noun="KML file"
    )
