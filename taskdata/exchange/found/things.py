"""What is found on a stick before it is read: sets, files of layers, rasters, and what is none of them."""

from __future__ import annotations

from dataclasses import field
from enum import Enum

from taskdata.dataclass import dataclass
from taskdata.errors import SourceError
from taskdata.file_formats.declaration import Format
from taskdata.isoxml.files.blob import Blob
from taskdata.isoxml.files.folders import Folder


class ThingKind(Enum):
    """How a thing is read."""

    SET = "a task data set"
    LAYERS = "layers"
    CARRIED = "layers that carry a task data set"
    RASTER = "a raster"


@dataclass(frozen=True)
class Thing:
    """Something that can be read by itself.

    Parameters
    ----------
    path : str
        Below the source, containers and what lies in them joined by ``/``; empty for the source itself.
    kind : ThingKind
        How it is read.
    folder : Folder
        The folder of the set, or the one that its files lie in.
    form : Format or None
        Format of its layers; None of a set or a raster.
    files : tuple of Blob
        Its files, those of layers first; of a set all that lie in its folder.
    sure : bool
        Whether its content says what it is, and not its name alone.
    """

    path: str
    kind: ThingKind
    folder: Folder
    form: Format | None = None
    files: tuple[Blob, ...] = ()
    sure: bool = True

    @property
    def where(self) -> str:
        """Its path as a source."""
        if self.kind in (ThingKind.SET, ThingKind.CARRIED):
            return self.folder.where
        return f"{self.folder.where}/{self.files[0].name}"

    @property
    def is_set(self) -> bool:
        """Whether it is a whole task data set, in whatever format."""
        return self.kind in (ThingKind.SET, ThingKind.CARRIED)

    @property
    def size(self) -> int:
        """Bytes of all its files."""
        return sum(blob.size for blob in self.files)


@dataclass
class Found:
    """Everything in a source.

    Parameters
    ----------
    things : list of Thing
        What can be read, by path.
    aside : list of tuple of str
        Path of each file and folder that is left aside, and why.
    closed : list of (str, SourceError)
        Path of each folder and archive that could not be looked into, and why.
    """

    things: list[Thing] = field(default_factory=list)
    aside: list[tuple[str, str]] = field(default_factory=list)
    closed: list[tuple[str, SourceError]] = field(default_factory=list)

    @property
    def sets(self) -> list[Thing]:
        """The task data sets."""
        return [thing for thing in self.things if thing.is_set]

    @property
    def layers(self) -> list[Thing]:
        """The files of layers."""
        return [thing for thing in self.things if thing.kind is ThingKind.LAYERS]


def below(path: str, name: str) -> str:
    """Return the path of something in a folder of a path."""
    return f"{path}/{name}" if path else name
