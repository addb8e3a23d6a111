"""Whether a source is one set or several things; the survey of layers is loaded only where it is needed."""

from __future__ import annotations

import os
from typing import Unpack

from taskdata.errors import TaskdataError
from taskdata.exchange.found.locating import is_set_alone, located_at
from taskdata.exchange.found.things import Found
from taskdata.exchange.found.walking import found_at
from taskdata.exchange.taking import chosen
from taskdata.formats.foreign.options import Reading, TakeOptions
from taskdata.paths import named_path
from taskdata.results.survey import Survey


def survey_of_several(path: str | os.PathLike[str], **reading: Unpack[Reading]) -> Survey | None:
    """Return what lies in a source that is not one set; None where it is one, and is to be read as such.

    One set is one task data set, or layers of one format alone; a file of layers where this package wrote it. What
    cannot be looked into at all counts as one: reading it says why.
    """
    place, options = named_path(path), TakeOptions.of(reading)
    try:
        located = located_at(place)
        if is_set_alone(located):
            return None
        found = found_at(place, located)
    except (TaskdataError, OSError):
        return None
    if located.blob is None:
        found = chosen(found, place, options.take) if options.take else found
        if _is_one(found):
            return None
    from taskdata.exchange.surveying import survey_of_found

    return survey_of_found(place, found, located, options)


def _is_one(found: Found) -> bool:
    sure = [thing for thing in found.things if thing.sure]
    formats = {thing.form for thing in sure}
    return len(sure) < 2 or (not any(thing.is_set for thing in sure) and len(formats) == 1 and None not in formats)
