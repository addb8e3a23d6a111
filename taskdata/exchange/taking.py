"""What of a stick is taken together.

The folder TASKDATA at the root, or the only set, is the set, and what lies beside it is told. Layers of any formats, in
folders and archives at any depth, are taken as one. Among several sets, or a set and layers, nothing is chosen: each is
named with the path to give.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from taskdata.amounts import counted
from taskdata.dataclass import dataclass
from taskdata.exchange.found.locating import Located, is_set_alone, locate
from taskdata.exchange.found.refusals import listed_paths, none_fits, set_and_layers, several_sets
from taskdata.exchange.found.things import Found, Thing, ThingKind
from taskdata.exchange.found.walking import everything_in, thing_of
from taskdata.findings import Finding, Place
from taskdata.formats.foreign.options import TakeOptions
from taskdata.formats.foreign.patterns import fits_below
from taskdata.isoxml.files.folders import FOLDER
from taskdata.raised_rules.import_.beside_the_set import RULE as BESIDE_THE_SET

if TYPE_CHECKING:
    from taskdata.formats.placing.ground import Ground
    from taskdata.formats.placing.placed_layers import PlacedLayers


@dataclass(frozen=True)
class Taken:
    """What is read of a source.

    Parameters
    ----------
    set_at : Path or None
        Where the task data set is that is read; None where layers are.
    layers : PlacedLayers or None
        The layers, in WGS 84.
    notes : tuple of Finding
        What lies beside the set.
    """

    set_at: Path | None = None
    layers: PlacedLayers | None = None
    notes: tuple[Finding, ...] = ()


def take(place: Path, options: TakeOptions, *, partial: bool = False, beside: Sequence[Ground] = ()) -> Taken:
    """Return what is read of a folder, an archive, or what lies in one.

    Parameters
    ----------
    options, partial, beside
        As for `formats.read.placed`.

    Raises
    ------
    SourceError
        Nothing in it can be read.
    UsageError
        It is not clear what is meant: there are several sets, or a set and layers; no item fits a pattern; or a layer
        does not say what its coordinates are in.
    """
    meant = _meant(place, options)
    if isinstance(meant, Taken):
        return meant
    from taskdata.exchange.taken_layers import layers_of

    return Taken(layers=layers_of(place, *meant, options, partial=partial, beside=beside))


class _Meant(NamedTuple):
    """Layers that are read of a source: where it is, and what else is in it, None where it is a file."""

    located: Located
    things: Sequence[Thing]
    found: Found | None


def _meant(place: Path, options: TakeOptions) -> _Meant | Taken:
    """Return which layers of a source are meant, or where the set is that it is."""
    located = locate(place)
    if located is None or is_set_alone(located):
        return Taken(set_at=place)
    if located.blob is not None:
        thing = thing_of(located.folder, located.blob)
        return Taken(set_at=place) if thing is None else _Meant(located, [thing], None)
    found = everything_in(located.folder)
    if options.take:
        found = chosen(found, place, options.take)
    sets = [thing for thing in found.sets if is_of_the_stick(thing)] or found.sets
    if len(sets) > 1:
        raise several_sets(place, sets)
    own = next(iter(sets), None)
    layers = [thing for thing in found.layers if thing.sure or own is None]
    if own is None:
        return _Meant(located, layers, found) if layers else Taken(set_at=place)
    if layers and not is_of_the_stick(own):
        raise set_and_layers(place, own, layers)
    if own.kind is ThingKind.CARRIED:
        return _Meant(located, [own], found)
    return Taken(set_at=Path(own.where) if options.take else place, notes=tuple(_beside(layers)))


def is_of_the_stick(thing: Thing) -> bool:
    """Tell whether a set is that of the stick: in the folder TASKDATA at its root."""
    return thing.kind is ThingKind.SET and thing.path.upper() == FOLDER


def chosen(found: Found, place: Path, patterns: Sequence[str]) -> Found:
    """Return what fits one of several patterns, also what may hold a layer that does.

    Raises
    ------
    UsageError
        Nothing does.
    """
    things = [
        thing
        for thing in found.things
        if any(fits_below(part, place.name, thing.path) for pattern in patterns for part in _ways_to(pattern))
    ]
    if not things:
        raise none_fits(place, patterns, [thing.path for thing in found.things])
    return replace(found, things=things)


def _ways_to(pattern: str) -> Iterator[str]:
    """Yield a pattern, and those of what it leads through."""
    parts = pattern.replace("\\", "/").rstrip("/").split("/")
    return ("/".join(parts[:end]) for end in range(len(parts), 0, -1) if "".join(parts[:end]))


def _beside(layers: Sequence[Thing]) -> Iterator[Finding]:
    if layers:
        count = f"{counted(len(layers), 'file')} of layers"
        yield BESIDE_THE_SET.at(Place(), count=count, found=listed_paths([thing.path for thing in layers]))
