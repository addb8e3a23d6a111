"""The system that a layer most likely is in, where it states none: the one that brings it to the farm's other data.

Nothing is guessed without other data, since metres alone fit hundreds of places; degrees that are swapped, and a
system that is stated in the wrong unit, are the exceptions. A guess comes with what speaks for it and what else would
fit: systems on another datum often lie within a metre, and no coordinate tells which of them is meant. It is applied
only where a person says so.
"""

from __future__ import annotations

from collections.abc import Sequence

from taskdata.formats.base import RawTable
from taskdata.formats.placing.doubts import doubt_of
from taskdata.formats.placing.ground import Ground
from taskdata.formats.placing.sampling import sample_of
from taskdata.results.survey import CrsGuess


def guess_of(raw: RawTable, others: Sequence[Ground]) -> CrsGuess | None:
    """Return the system that a layer most likely is in, where it states none or an implausible one.

    Parameters
    ----------
    raw : RawTable
        The layer as it stands in its file.
    others : sequence of Ground
        Where the other data of the source lies: layers whose system is known, degrees, and sets beside it.

    Returns
    -------
    CrsGuess or None
        None where what it states, or WGS 84, is plausible, and where nothing tells which system it is.

    Raises
    ------
    SourceError
        What it states is no system.
    """
    sample = sample_of(raw)
    doubt = None if sample is None else doubt_of(sample, others)
    return None if doubt is None else doubt.guess
