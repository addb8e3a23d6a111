"""Where the other data in a folder lies: sets and layers that are not read, but tell the system of one that is."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from contextlib import suppress
from pathlib import Path

from taskdata.errors import TaskdataError
from taskdata.exchange.found.gathering import gathered
from taskdata.exchange.found.things import ThingKind
from taskdata.exchange.found.walking import everything_in
from taskdata.formats.foreign.options import TakeOptions
from taskdata.formats.placing.deciding import grounds_of
from taskdata.formats.placing.ground import Ground
from taskdata.isoxml.files.folders import Folder
from taskdata.isoxml.reading.read import read_document
from taskdata.isoxml.to_model.dataset import to_dataset
from taskdata.model.whereabouts import bounds

_MOST = 50
"""How many files and sets are looked at: more tell no more of where a farm lies."""


def grounds_in(folder: Folder, without: Collection[str], options: TakeOptions) -> list[Ground]:
    """Return where what lies in a folder lies on Earth; what cannot be read says nothing.

    Parameters
    ----------
    without : collection of str
        Paths, as sources, of what is read itself.
    options : TakeOptions
        What a person says of the source.
    """
    things = [thing for thing in everything_in(folder).things if thing.where not in without][:_MOST]
    layers = [thing for thing in things if thing.kind is ThingKind.LAYERS and thing.sure]
    found = [ground for raw in gathered(layers, options).layers for ground in grounds_of(raw.tables, options.crs)]
    return [*found, *(ground for thing in things if thing.kind is ThingKind.SET for ground in _of_set(thing.where))]


def _of_set(where: str) -> Iterator[Ground]:
    """Yield where a task data set lies, nothing where that is not known."""
    with suppress(TaskdataError, OSError):
        box = bounds(to_dataset(read_document(Path(where))))
        if box is not None:
            yield Ground.around(where, box)
