"""XML bytes to a lossless tree, in one pass, with nothing in the file able to act.

No document type, no entity, no network; depth, attributes and the length of one piece are limited. Points become
columns on the way (``element.PointRun``).
"""

from __future__ import annotations

from typing import BinaryIO
from xml.parsers import expat

from taskdata.errors import SourceError
from taskdata.isoxml.reading.builder import ParsedXml, TreeBuilder
from taskdata.isoxml.reading.feeding import Feeder
from taskdata.phrases import phrase
from taskdata.progress import BYTES, stage


class IllFormedError(SourceError):
    """The bytes are no well-formed XML; what stands before the fault may be rescued (see ``rescue``)."""


def parse_xml(
    stream: BinaryIO, name: str, encoding: str | None = None, *, size: int | None = None, in_bulk: bool = True
) -> ParsedXml:
    """Parse a file of the set.

    Parameters
    ----------
    stream : binary file
        Read to its end.
    name : str
        Name of the file, for places and messages.
    encoding : str, optional
        Overrides what the file says of itself.
    size : int, optional
        How many bytes the stream holds, where that is known; for progress alone.
    in_bulk : bool
        Read runs of points at once, see ``feeding``; what is read is the same without.

    Raises
    ------
    SourceError
        The bytes are no well-formed XML, or carry what task data never does (a document type, endless nesting).
    """
    builder = TreeBuilder(name, encoding)
    feeder = Feeder(builder, in_bulk=in_bulk)
    try:
        with stage(phrase("Reading {name}", name=name), BYTES, size) as advance:
            feeder.feed(stream, advance)
    except expat.ExpatError as error:
        line, column = feeder.place(error)
        raise IllFormedError(
            f"is not well-formed XML at line {line}, column {column}",
            where=name,
            why=expat.ErrorString(error.code),
            remedy=f"The file may be cut off or damaged: copy it again from the original{builder.way_out()}",
        ) from None
    except (LookupError, ValueError) as error:
        raise SourceError("declares an unknown encoding", where=name, why=str(error)) from None
    return builder.result()
