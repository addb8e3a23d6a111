"""Where a target goes: its format, its place on disk, and what may be replaced there."""

from __future__ import annotations

import os
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from taskdata.errors import TargetError, UsageError
from taskdata.isoxml.files.folders import FOLDER, MAIN
from taskdata.litter import entries

FORMATS = ("isoxml", "geojson", "shapefile", "gpkg", "parquet")
_BY_SUFFIX = {
    ".zip": "isoxml",
    ".xml": "isoxml",
    ".geojson": "geojson",
    ".json": "geojson",
    ".shp": "shapefile",
    ".gpkg": "gpkg",
    ".parquet": "parquet",
}
_LAYER_SUFFIXES = {
    "geojson": {".geojson"},
    "shapefile": {".shp", ".shx", ".dbf", ".prj", ".cpg", ".json"},
    "parquet": {".parquet"},
}


@dataclass(frozen=True, slots=True)
class Target:
    """A target to be written.

    Parameters
    ----------
    named : Path
        As the user named it.
    place : Path
        The file or folder that is written and, with leave, replaced.
    format : str
        One of ``FORMATS``.
    packed : bool
        A zip archive of an ISO-XML set.
    """

    named: Path
    place: Path
    format: str
    packed: bool = False

    @property
    def replaceable(self) -> Callable[[Path], bool]:
        """Tells of an existing target whether it is one of this kind and nothing more."""
        if self.packed or self.format == "gpkg":
            return Path.is_file
        if self.format == "isoxml":
            return is_task_folder
        suffixes = _LAYER_SUFFIXES[self.format]
        return lambda place: _holds_only(place, suffixes)


def target_of(target: str | os.PathLike[str], to: str | None, source: str | os.PathLike[str] | None) -> Target:
    """Return where and as what a target is written.

    Raises
    ------
    UsageError
        The format cannot be told, or is unknown.
    TargetError
        The target lies on or in the source.
    """
    named = Path(target)
    chosen = to or _by_name(named)
    if chosen not in FORMATS:
        raise UsageError(f"there is no format {chosen!r}", remedy=f"Choose one of {', '.join(FORMATS)}")
    packed = chosen == "isoxml" and named.suffix.lower() == ".zip"
    inner = chosen == "isoxml" and not packed and named.name.upper() != FOLDER
    place = named / FOLDER if inner else named
    if source is not None:
        _refuse_source(place, Path(source))
    return Target(named, place, chosen, packed)


def usual_format(target: str | os.PathLike[str]) -> str | None:
    """Return ``isoxml`` for a name without a suffix, where a set is what is usually made; else None."""
    return None if Path(target).suffix else "isoxml"


def _by_name(named: Path) -> str:
    found = _BY_SUFFIX.get(named.suffix.lower())
    if found is None and named.name.upper() == FOLDER:
        found = "isoxml"
    if found is None:
        raise UsageError(
            "the format of the target cannot be told from its name",
            where=named,
            remedy=f"Give [[to]] with one of {', '.join(FORMATS)}",
        )
    return found


def _refuse_source(place: Path, source: Path) -> None:
    """Refuse a target on the source, in it, or around it: a source is never changed."""
    here, there = place.resolve(), source.resolve()
    stick = there / FOLDER
    if here in {there, stick} or there in here.parents or here in there.parents:
        raise TargetError("lies on the source, which is never changed", where=place, remedy="Name another target")


def is_task_folder(place: Path) -> bool:
    """Tell whether a folder holds one ISO-XML set and nothing more."""
    if not place.is_dir():
        return False
    inside = entries(place)
    plain = all(item.is_file() for item in inside)
    return plain and (not inside or any(item.name.upper() == MAIN for item in inside))


def _holds_only(place: Path, suffixes: set[str]) -> bool:
    return place.is_dir() and all(item.is_file() and item.suffix.lower() in suffixes for item in entries(place))
