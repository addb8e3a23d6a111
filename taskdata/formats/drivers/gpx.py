"""GPX 1.1 and 1.0: waypoints as points, routes as lines, tracks with times as logs, other tracks as lines."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from pathlib import Path

from taskdata.amounts import counted
from taskdata.errors import TargetError
from taskdata.formats.base import LayerFiles, Tables, read_each
from taskdata.formats.columns import GEOMETRY, GeometryType, Layer
from taskdata.formats.drivers.gpx_read import Reading
from taskdata.formats.drivers.gpx_text import columns_held, document
from taskdata.formats.drivers.ogr import writing
from taskdata.formats.heads import gpx_layer
from taskdata.formats.layers.own import OWN
from taskdata.formats.markup.reading import read_markup
from taskdata.formats.markup.text import unheld
from taskdata.ledger import Loss, LossKind
from taskdata.model.carried import Carried
from taskdata.phrases import phrase

_REASONS = {
    "time": phrase("GPX asks for coordinated universal time, and these times are local"),
    "up_m": phrase(
        "GPX does not say what its elevations refer to; they are usually above sea level, and these are not"
    ),
}
_THROUGH = frozenset({"gpx", "trk", "trkseg", "rte"})
_SHAPES = (GeometryType.POINT, GeometryType.LINE)


class Gpx:
    """The driver; a layer a file, records of logs as tracks, other points as waypoints, lines as tracks."""

    def losses(self, layers: Sequence[Layer]) -> list[Loss]:
        """Return the columns and characters that have no place in a GPX file.

        Raises
        ------
        TargetError
            A layer holds something else than points or lines.
        """
        found: list[Loss] = []
        for layer in layers:
            if layer.spec.geometry not in _SHAPES:
                raise TargetError(
                    f"layer {layer.name} cannot be written as GPX",
                    why="GPX holds points and lines alone",
                    remedy="Choose another format",
                )
            found += unheld(layer)
            found += _unheld(layer)
        return found

    def write(self, target: LayerFiles, layers: Sequence[Layer], carried: Carried | None) -> None:
        """Write each layer into its file, coordinates with every digit, times in coordinated universal time."""
        for layer in layers:
            with writing(target.path), target.of(layer).open("w", encoding="utf-8", newline="\n") as file:
                file.writelines(document(layer))

    def column_names(self, path: Path) -> Mapping[str, Collection[str]]:
        """Return the names of the columns of the layer that was written to the file; of other files none."""
        spec = OWN.get(gpx_layer(path) or "")
        return {path.stem: () if spec is None else spec.by_name}

    def read(self, path: Path, files: Sequence[Path]) -> Tables:
        """Return the tables of each file."""
        return read_each(files, read_file)


DRIVER = Gpx()


def _unheld(layer: Layer) -> Iterator[Loss]:
    """Yield the columns and rows of a layer that GPX has no place for."""
    held = columns_held(layer)
    left = [
        name
        for name in layer.attributes.column_names
        if name not in held and layer.table[name].null_count < layer.table.num_rows
    ]
    plain = [name for name in left if name not in _REASONS]
    if plain:
        what = phrase("columns {plain} of layer {name}", plain=", ".join(plain), name=layer.name)
        yield Loss(LossKind.DROPPED, None, what, phrase("GPX has no place for them"))
    for name in left:
        if name in _REASONS:
            yield Loss(
                LossKind.DROPPED,
                None,
                phrase("column {name} of layer {name_2}", name=name, name_2=layer.name),
                _REASONS[name],
            )
    count = layer.table[GEOMETRY].null_count
    if count:
        what = phrase("{rows} of layer {name}", rows=counted(count, "row"), name=layer.name)
        yield Loss(LossKind.DROPPED, None, what, phrase("GPX has no place for what has no position"))


def read_file(path: Path) -> Tables:
    """Return the waypoints, routes and tracks of a file as tables, and what is wrong in it.

    A track of which points have times is a log of its own, its columns ``time`` (coordinated universal time),
    ``up_m`` (metres), ``fix``, ``satellites``, ``hdop`` and whatever else its points hold.

    Raises
    ------
    SourceError
        It holds nothing that can be read.
    """
    return read_markup(
        path, lambda: path.open("rb"), path.stat().st_size, Reading(path), through=_THROUGH, noun="GPX file"
    )
