"""What is declared of a file format."""

from __future__ import annotations

from collections.abc import Callable
from enum import Enum
from pathlib import PurePath

from taskdata.dataclass import dataclass


class Layers(Enum):
    """How many layers one file of a format holds."""

    ONE = "one layer"
    SEVERAL = "several layers"


class Carries(Enum):
    """Where a format holds the tables that bring the whole task data set back, beside the layers."""

    NOWHERE = "no"
    IN_FOLDERS = "in a folder"
    EVERYWHERE = "yes"


class Shape(Enum):
    """A kind of shape that the rows of a layer have."""

    POINT = "points"
    LINE = "lines"
    POLYGON = "polygons"


@dataclass(frozen=True, slots=True)
class Format:
    """A file format: detection, targets, choices of commands, messages and tables of formats follow from it.

    Parameters
    ----------
    name : str
        The word for it on the command line, in Python and in JSON.
    label : str
        What people call it.
    suffixes : tuple of str
        Endings of the names of its files, in small letters with the dot; the first is that of what is written.
    told : callable
        Whether the first bytes of a file are of this format.
    driver : str or None
        Module of ``formats/drivers`` that reads and writes it; None where no layers are in it.
    noun : str
        How a sentence calls one of it, such as ``a shapefile``; empty = its label.
    only_read : tuple of str
        Further endings that files to be read have, and none that is written.
    ambiguous : tuple of str
        Those of the endings that other things have too, so that content alone tells.
    by_content_alone : bool
        Content tells it whatever the name of the file; False = only in a file that is named so, since other texts look
        like it.
    binary : bool
        Its files are no text: one that is named so and holds a text is refused, whatever that text may be.
    layers : Layers
        What one file holds.
    folder : bool
        A folder of such files is one source, and of a format with one layer a file the target of several.
    beside : tuple of str
        Endings of further files of the same name that belong to a file.
    outdated : tuple of str
        Endings of files of that name in which other programs keep an index, which a new file does not fit.
    folder_files : tuple of str
        Names of files that stand in a folder of such files and are no layers.
    reads, writes : bool
        What is done with it.
    shapes : frozenset of Shape
        What shapes are written; layers of others are left out and told.
    carries : Carries
        Where it holds the carried tables.
    styled : bool
        Its features may say themselves how they are drawn.
    """

    name: str
    label: str
    suffixes: tuple[str, ...]
    told: Callable[[bytes], bool]
    driver: str | None
    noun: str = ""
    only_read: tuple[str, ...] = ()
    ambiguous: tuple[str, ...] = ()
    by_content_alone: bool = True
    binary: bool = False
    layers: Layers = Layers.ONE
    folder: bool = True
    beside: tuple[str, ...] = ()
    outdated: tuple[str, ...] = ()
    folder_files: tuple[str, ...] = ()
    reads: bool = True
    writes: bool = True
    shapes: frozenset[Shape] = frozenset(Shape)
    carries: Carries = Carries.IN_FOLDERS
    styled: bool = False

    @property
    def phrase(self) -> str:
        """How a sentence calls one of it."""
        return self.noun or self.label

    @property
    def file_noun(self) -> str:
        """How a sentence calls a file of it after an article, such as ``GeoParquet file``."""
        return self.noun.removeprefix("a ") or f"{self.label} file"

    @property
    def suffix(self) -> str:
        """The ending of what is written."""
        return self.suffixes[0]

    def is_named(self, path: PurePath) -> bool:
        """Tell whether the name of a file is one of this format, whatever else may have it too."""
        return path.suffix.lower() in (*self.suffixes, *self.only_read)

    def is_told_by_name(self, path: PurePath) -> bool:
        """Tell whether the name of a file alone says that it is of this format."""
        return self.is_named(path) and path.suffix.lower() not in self.ambiguous
