"""What a GIS format keeps beside its layers, so that the way back to ISO-XML loses nothing.

Two plain tables. Their columns are public (see ``schemas/README.md``): elements as rows in document order, files as
compressed bytes.
"""

from __future__ import annotations

from collections.abc import Sequence

from taskdata.dataclass import dataclass
from taskdata.records import short_repr


@short_repr
@dataclass(frozen=True, slots=True)
class CarriedElement:
    """One node of one XML file.

    Parameters
    ----------
    key : int
        Number in document order over the whole set, counted from 0; the ``key`` of model records and layer rows.
    parent : int
        Key of the node above, -1 for a root.
    file : str
        Name of its XML file, as stored.
    tag : str
        Tag, or ``#text``, ``#comment``, ``#instruction`` for other nodes, ``#points`` for a run of points.
    content : str
        Attributes as a JSON object in the order of the source; for other nodes their text as a JSON string; for a run
        of points a JSON object with their number and a text of all values for each attribute.
    """

    key: int
    parent: int
    file: str
    tag: str
    content: str


@short_repr
@dataclass(frozen=True, slots=True)
class CarriedFile:
    """One file of the set, or one part of a long one.

    Parameters
    ----------
    name : str
        Name as stored.
    role : str
        ``main``, ``external``, ``header``, ``linklist`` (XML, held in the elements; ``content`` is empty) or
        ``other`` (held as bytes).
    part : int
        Number of the part, from 0.
    facts : str
        JSON object: of an XML file its declared encoding and byte order mark; of another its full size.
    content : bytes
        Compressed with zlib; the parts of a file are joined before decompression.
    """

    name: str
    role: str
    part: int
    facts: str
    content: bytes


@short_repr
@dataclass(frozen=True, slots=True)
class Carried:
    """The two tables; rows that are no tuple are made, or read from disk, one at a time."""

    elements: Sequence[CarriedElement]
    files: Sequence[CarriedFile]
