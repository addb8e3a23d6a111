"""Any source to the model."""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Unpack

from taskdata.collector import collector_at_rest
from taskdata.errors import SourceError
from taskdata.exchange.found.locating import is_set_alone, locate
from taskdata.file_formats.regular import absence
from taskdata.file_formats.table import listed, readable
from taskdata.findings import Finding, Place
from taskdata.formats.foreign.options import Reading, TakeOptions
from taskdata.isoxml.files.opening import is_file_set
from taskdata.isoxml.reading.read import read_document
from taskdata.isoxml.to_model.dataset import to_dataset
from taskdata.paths import named_path
from taskdata.raised_rules.import_.crs_not_applied import RULE as CRS_NOT_APPLIED
from taskdata.results.reading import Loaded

if TYPE_CHECKING:
    from taskdata.formats.placing.ground import Ground


def load(
    path: str | os.PathLike[str],
    *,
    partial: bool = False,
    beside: Sequence[Ground] = (),
    **reading: Unpack[Reading],
) -> Loaded:
    """Read a source of any format, told by its content.

    Parameters
    ----------
    path : path
        A file set (folder, stick, main file, zip), or layers in a format that ``file_formats`` lists, as a file, a
        folder, or a zip archive of them.
    partial : bool
        Leave out layers of which it is not known what their coordinates are in, with a finding, as long as another can
        be read.
    beside : sequence of Ground
        Where other data of the farm lies, which tells the system of a layer that states none.
    **reading
        See `TakeOptions`.

    Raises
    ------
    SourceError
        Nothing readable is there.
    UsageError
        There are several sets and none is that of the stick; the message names each.
        Coordinates are in metres and nothing says in which system; or there is no system ``crs``.
    """
    place = named_path(path)
    options = TakeOptions.of(reading)
    try:
        located = locate(place)
        if located is None:
            raise SourceError(absence(place), where=place, remedy="Check the path")
        with collector_at_rest():
            if is_set_alone(located):
                return _of_set(place, place, (), options)
            return _of_several(place, options, beside, partial=partial)
    except OSError as error:
        inside = str(error.filename or "").startswith(os.path.join(place, ""))  # and not in a folder of our own
        raise SourceError("could not be read", where=error.filename if inside else place, why=error.strerror) from error


def _of_several(place: Path, options: TakeOptions, beside: Sequence[Ground], *, partial: bool) -> Loaded:
    """Read what is taken of a source that is not the folder of a set."""
    from taskdata.exchange.taking import take

    taken = take(place, options, partial=partial, beside=beside)
    if taken.layers is None:
        return _of_set(place, taken.set_at or place, taken.notes, options)
    from taskdata.exchange.load_layers import of_layers

    return of_layers(taken.layers, options)


def _of_set(place: Path, at: Path, notes: Sequence[Finding], options: TakeOptions) -> Loaded:
    _refuse_unknown(at)
    dataset = to_dataset(read_document(at, rescue=options.rescue))
    noted = (*dataset.noted, *notes, *_unneeded(at, options.crs))
    loaded = Loaded(dataset.with_changes(source=str(place), noted=noted))
    if not options.derive_fields:
        return loaded
    from taskdata.exchange.load_layers import with_outlines

    return with_outlines(loaded)


def _unneeded(place: Path, crs: str | None) -> Iterator[Finding]:
    """Yield a finding where the user gave a system of coordinates for a set that can have no other than WGS 84."""
    if crs is not None:
        yield CRS_NOT_APPLIED.at(Place(), crs=crs, layer=place.name, reason="task data is always in WGS 84")


def _refuse_unknown(place: Path) -> None:
    """Refuse a file that neither looks like one of the formats nor is named like a set."""
    named_so = place.suffix.lower() in {".xml", ".zip"}
    if place.is_file() and place.stat().st_size and not named_so and not is_file_set(place):
        raise SourceError(
            "is in an unknown format",
            where=place,
            remedy=f"Give {listed(readable())}",
        )
