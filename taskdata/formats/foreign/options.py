"""What a person says about a source that is to be read, beside where it is."""

from __future__ import annotations

import os
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import field
from enum import StrEnum
from typing import Self, TypedDict, TypeVar

from taskdata.arguments import one_or_several
from taskdata.dataclass import dataclass
from taskdata.errors import UsageError
from taskdata.formats.foreign.mapping import ROLES, SYNONYMS, Entry, column_role, read_mapping
from taskdata.formats.foreign.patterns import fits
from taskdata.results.survey import ColumnRole, ItemKind

Word = TypeVar("Word", bound=StrEnum)


class Reading(TypedDict, total=False):
    """The arguments of every function that reads a source; `taskdata.read` explains them."""

    crs: str | None
    name_column: str | None
    rescue: bool
    take: str | Sequence[str]
    mapping: str | os.PathLike[str] | None
    columns: Mapping[str, str]
    roles: Mapping[str, str]
    accept_guess: bool
    derive_fields: bool


@dataclass(frozen=True, slots=True)
class Said:
    """What a person says of one item; None and nothing = not said.

    Parameters
    ----------
    kind : ItemKind or None
        What it is; ``other`` = leave it aside.
    columns : mapping of ColumnRole to tuple of str
        Which columns hold what; several where a value is spread over them.
    units : mapping of ColumnRole to str
        In which units numbers are, as they were written.
    crs : str or None
        Its coordinate reference system, whatever the file states; `TakeOptions.crs` counts where nothing is stated.
    encoding : str or None
        Encoding of its texts, as Python knows it.
    """

    kind: ItemKind | None = None
    columns: Mapping[ColumnRole, tuple[str, ...]] = field(default_factory=dict)
    units: Mapping[ColumnRole, str] = field(default_factory=dict)
    crs: str | None = None
    encoding: str | None = None


@dataclass(frozen=True, slots=True)
class TakeOptions:
    """The arguments of reading, checked.

    Parameters
    ----------
    crs : str or None
        Coordinate reference system of layers that do not name one.
    name_column : str or None
        Column that holds the names, in layers of other programs.
    rescue : bool
        Of a damaged XML file read what stands before the damage.
    take : tuple of str
        Patterns of the paths of items to read; empty = all that belong together.
    mapping : tuple of Entry
        What a mapping file says.
    columns : mapping of ColumnRole to str
        Which column holds what, in every layer that has it.
    roles : mapping of str to ItemKind
        What the items are whose path fits a pattern.
    accept_guess : bool
        Use the guess of a coordinate reference system.
    derive_fields : bool
        Make outlines of fields from swaths and logs where there is no field.
    """

    crs: str | None = None
    name_column: str | None = None
    rescue: bool = False
    take: tuple[str, ...] = ()
    mapping: tuple[Entry, ...] = ()
    columns: Mapping[ColumnRole, str] = field(default_factory=dict)
    roles: Mapping[str, ItemKind] = field(default_factory=dict)
    accept_guess: bool = False
    derive_fields: bool = False

    @classmethod
    def of(cls, reading: Reading) -> Self:
        """Return what a caller said, checked.

        Raises
        ------
        UsageError
            There is no such system, role of a column or kind of thing; or the mapping file cannot be used.
        """
        crs, mapping = reading.get("crs"), reading.get("mapping")
        if crs is not None:
            from taskdata.geometry.transform import is_projected  # noqa: PLC0415  # PROJ is slow to load

            is_projected(crs)
        return cls(
            crs=crs,
            name_column=reading.get("name_column"),
            rescue=reading.get("rescue", False),
            take=one_or_several(reading.get("take", ())),
            mapping=() if mapping is None else read_mapping(mapping),
            columns={
                _word(column_role, role, "columns", "what a column holds", (*ColumnRole, *SYNONYMS)): column
                for role, column in reading.get("columns", {}).items()
            },
            roles={
                pattern: _word(_kind, kind, "roles", "what a thing is", ROLES)
                for pattern, kind in reading.get("roles", {}).items()
            },
            accept_guess=reading.get("accept_guess", False),
            derive_fields=reading.get("derive_fields", False),
        )

    def said_of(self, path: str, has: Collection[str] | None = None) -> Said:
        """Return what a person says of one item.

        Options come before the mapping file, and its later entries before the earlier ones.

        Parameters
        ----------
        path : str
            Path of the item, containers and what lies in them joined by ``/``.
        has : collection of str, optional
            The columns that it has: only these are named then, written as they are there; what is said of others
            counts for other items.
        """
        entries = [entry for entry in self.mapping if entry.fits(path)]
        columns = {role: named for entry in entries for role, named in entry.columns.items() if _found(named, has)}
        by_hand = {ColumnRole.NAME: self.name_column, **self.columns}
        columns |= {role: (name,) for role, name in by_hand.items() if name is not None and _found((name,), has)}
        roles = [entry.role for entry in entries] + [kind for text, kind in self.roles.items() if fits(text, path)]
        return Said(
            kind=next((kind for kind in reversed(roles) if kind is not None), None),
            columns={role: _found(named, has) for role, named in columns.items()},
            units={role: unit for entry in entries for role, unit in entry.units.items()},
            crs=next((entry.crs for entry in reversed(entries) if entry.crs is not None), None),
            encoding=next((entry.encoding for entry in reversed(entries) if entry.encoding is not None), None),
        )

    def unfitting(self, paths: Collection[str]) -> Iterator[str]:
        """Yield each pattern and entry that fits none of the items of these paths, as words."""
        for pattern in self.roles:
            if not any(fits(pattern, path) for path in paths):
                yield f"the pattern {pattern!r}"
        for entry in self.mapping:
            if not any(entry.fits(path) for path in paths):
                yield entry.origin


def _word(read: Callable[[str], Word], given: str, argument: str, about: str, words: Collection[str]) -> Word:
    try:
        return read(given)
    except ValueError:
        raise UsageError(
            f"{given!r} does not say {about}", remedy=f"Give [[{argument}]] one of {', '.join(words)}"
        ) from None


def _kind(word: str) -> ItemKind:
    return ROLES[ROLES.index(ItemKind(word.strip().lower()))]


def _found(named: Collection[str], has: Collection[str] | None) -> tuple[str, ...]:
    """Return columns as they are written in an item: in any case where only one is called so."""
    if has is None:
        return tuple(named)
    found = []
    for name in named:
        alike = [item for item in has if item.casefold() == name.strip().casefold()]
        found += [name] if name in has else alike if len(alike) == 1 else []
    return tuple(found)
