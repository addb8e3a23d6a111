"""What a person says about a source that is to be read, beside where it is."""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Self, TypedDict, TypeVar

from taskdata.arguments import one_or_several
from taskdata.errors import UsageError
from taskdata.geometry.transform import is_projected
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
class TakeOptions:
    """The same, checked.

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
    mapping : str or None
        Path of a mapping file.
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
    mapping: str | None = None
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
            There is no such system, role of a column or kind of thing.
        """
        crs, mapping = reading.get("crs"), reading.get("mapping")
        if crs is not None:
            is_projected(crs)
        return cls(
            crs=crs,
            name_column=reading.get("name_column"),
            rescue=reading.get("rescue", False),
            take=one_or_several(reading.get("take", ())),
            mapping=None if mapping is None else os.fspath(mapping),
            columns={
                _word(ColumnRole, role, "columns", "what a column holds"): column
                for role, column in reading.get("columns", {}).items()
            },
            roles={
                pattern: _word(ItemKind, kind, "roles", "what a thing is")
                for pattern, kind in reading.get("roles", {}).items()
            },
            accept_guess=reading.get("accept_guess", False),
            derive_fields=reading.get("derive_fields", False),
        )


def _word(words: type[Word], given: str, argument: str, about: str) -> Word:
    try:
        return words(given.strip().lower())
    except ValueError:
        listed = ", ".join(words)
        raise UsageError(
            f"{given!r} does not say {about}",
            remedy=f"Give [[{argument}]] one of {listed}",
        ) from None
