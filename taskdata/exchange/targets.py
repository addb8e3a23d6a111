"""Where a target goes: its format, its place on disk, and what may be replaced there."""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from contextlib import AbstractContextManager
from pathlib import Path

from taskdata.dataclass import dataclass
from taskdata.errors import TargetError, UsageError
from taskdata.exchange.replacing.sets import foreign_in_archive, foreign_in_set
from taskdata.file_formats.declaration import Carries, Format, Layers
from taskdata.file_formats.table import (
    ISOXML,
    format_named,
    joined,
    label_of,
    of_name,
    of_target_name,
    readable,
    writable_names,
)
from taskdata.isoxml.files.folders import FOLDER
from taskdata.paths import named_path, target_path
from taskdata.staging import NOTHING, Foreign, staged


@dataclass(frozen=True, slots=True)
class Target:
    """A target to be written.

    Parameters
    ----------
    named : Path
        As the user named it; the ending of what is several files is in small letters.
    place : Path
        The file or folder that is written and, with leave, replaced.
    format : str
        Its name in the table of formats.
    packed : bool
        A zip archive of an ISO-XML set.
    raw : bool
        Logs are written as they are stored alone.
    simplestyle : bool
        Features say how they are drawn.
    """

    named: Path
    place: Path
    format: str
    packed: bool = False
    raw: bool = False
    simplestyle: bool = False

    @property
    def form(self) -> Format:
        """The format."""
        return format_named(self.format)

    @property
    def is_file(self) -> bool:
        """One file, and no folder."""
        return self.packed or self.is_alone or (self.format != ISOXML and self.form.layers is Layers.SEVERAL)

    @property
    def is_alone(self) -> bool:
        """One file of a format in which a file holds one layer."""
        return self.form.layers is Layers.ONE and self.named.suffix.lower() in self.form.suffixes

    @property
    def carries(self) -> bool:
        """It has a place for the tables that carry the whole set."""
        return self.form.carries is Carries.EVERYWHERE or (
            self.form.carries is Carries.IN_FOLDERS and not self.is_alone
        )

    def foreign(self, place: Path, fresh: Path) -> Sequence[str]:
        """Return what of an existing target this program did not write, as ``staging.staged`` asks."""
        if self.packed:
            return foreign_in_archive(place, fresh)
        if self.format == ISOXML:
            return foreign_in_set(place, fresh)
        from taskdata.exchange.replacing.layers import foreign_file, foreign_in_folder

        return foreign_file(place, self.form) if self.is_file else foreign_in_folder(place, self.form)

    def staged(self, *, overwrite: bool, with_it: Mapping[str, Foreign] = NOTHING) -> AbstractContextManager[Path]:
        """Give a path to write to; see ``staging.staged``.

        Raises
        ------
        TargetError
            Something stands there that may not be replaced, or an index that would not fit what is written.
        """
        endings = self.form.beside if self.is_alone else ()
        outdated = (self.place.with_suffix(ending) for ending in self.form.outdated if self.is_alone)
        index = next((item for item in outdated if item.exists()), None)
        if index is not None:
            raise TargetError("would not fit what is written", where=index, remedy="Remove it, or name another target")
        names = [f"{self.place.stem}{ending}" for ending in endings]
        return staged(self.place, overwrite=overwrite, foreign=self.foreign, beside=names, with_it=with_it)


def target_of(
    target: str | os.PathLike[str],
    to: str | None,
    source: str | os.PathLike[str] | None,
    *,
    raw: bool = False,
    simplestyle: bool = False,
) -> Target:
    """Return where and as what a target is written.

    Raises
    ------
    UsageError
        The format cannot be told, or is unknown; the target has no name, or one that cannot be; there is no choice of
        how it holds logs.
    TargetError
        The target lies on or in the source.
    """
    named = target_path(target)
    if source is not None:
        named_path(source)
    chosen = to or _by_name(named)
    if chosen not in writable_names():
        known = next((form for form in readable() if form.name == chosen), None)
        told = f"there is no format {chosen!r}" if known is None else f"{known.label} is only read"
        raise UsageError(told, remedy=f"Choose one of {joined(writable_names())}")
    _refuse_other_ending(named, chosen)
    if format_named(chosen).beside and named.suffix.lower() in format_named(chosen).suffixes:
        named = named.with_suffix(named.suffix.lower())  # all files of one are named alike
    packed = chosen == ISOXML and named.suffix.lower() == ".zip"
    inner = chosen == ISOXML and not packed and named.name.upper() != FOLDER
    place = named / FOLDER if inner else named
    if source is not None:
        refuse_source(place, Path(source))
    if raw and chosen == ISOXML:
        raise UsageError("an ISO-XML set always holds logs as they are stored", where=named, remedy="Leave [[raw]] out")
    if simplestyle and not format_named(chosen).styled:
        why = f"{format_named(chosen).label} has no simplestyle"
        raise UsageError("cannot say how features are drawn", where=named, why=why, remedy="Leave [[simplestyle]] out")
    return Target(named, place, chosen, packed, raw, simplestyle)


def usual_format(target: str | os.PathLike[str]) -> str | None:
    """Return ``isoxml`` for a name without a suffix, where a set is what is usually made; else None."""
    return None if target_path(target).suffix else ISOXML


def _by_name(named: Path) -> str:
    if named.name.upper() == FOLDER:
        return ISOXML
    found = of_target_name(named)
    if found is None:
        raise UsageError(
            "the format of the target is not clear from its name",
            where=named,
            remedy=f"Give [[to]] with one of {joined(writable_names())}",
        )
    return found.name


def _refuse_other_ending(named: Path, chosen: str) -> None:
    """Refuse a name with the ending of another format: who sees the file would take it for that."""
    other = of_name(named)
    if other is not None and other.name != chosen:
        raise UsageError(
            f"has the ending of {other.phrase}, and {label_of(chosen)} is to be written",
            where=named,
            remedy="Name another target, or leave [[to]] out",
        )


def refuse_source(place: Path, source: Path) -> None:
    """Refuse a target on the source, in it, or around it: a source is never changed."""
    here, there = place.resolve(), source.resolve()
    stick = there / FOLDER
    if here in {there, stick} or there in here.parents or here in there.parents:
        raise lies_on_source(place)


def lies_on_source(place: str | os.PathLike[str]) -> TargetError:
    """Return the refusal of a target on a source."""
    return TargetError("lies on the source, which is never changed", where=place, remedy="Name another target")
