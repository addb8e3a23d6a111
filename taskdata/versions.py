"""The versions of the standard and what tells them apart beside elements and attributes, from two fact tables.

A version is its VersionMajor. A next one is a row of ``data/versions.csv``: choices of the command line, schemas and
error texts follow from it. Whatever depends on a version says since and until which one it holds (``VersionSpan``).
"""

from __future__ import annotations

from functools import cache

from taskdata.dataclass import dataclass
from taskdata.resources import table


@dataclass(frozen=True, slots=True)
class VersionSpan:
    """Which versions something holds for.

    Parameters
    ----------
    since, until : int or None
        First and last version, both included; None = from the first, to the newest.
    """

    since: int | None = None
    until: int | None = None

    def holds(self, number: int) -> bool:
        """Tell whether a version is in the span."""
        return (self.since is None or self.since <= number) and (self.until is None or number <= self.until)


@dataclass(frozen=True, slots=True)
class PublishedVersion:
    """One version of the standard.

    Parameters
    ----------
    number : int
        VersionMajor.
    name : str
        Its name among the values of VersionMajor.
    edition : str
        What was published under it.
    year : int or None
        Year of publication.
    minors : tuple of int
        Its revisions (VersionMinor), each with a schema of its own; none of drafts that go with another version.
    facts : int
        PublishedVersion whose facts hold for it: its own, or that of a draft.
    use : str
        ``read``; ``write`` where sets can be brought to it too; ``default`` where it is written unless another is
        asked for.
    basis : str
        What the row rests on.
    """

    number: int
    name: str
    edition: str
    year: int | None
    minors: tuple[int, ...]
    facts: int
    use: str
    basis: str


@cache
def versions() -> tuple[PublishedVersion, ...]:
    """Return every version that was published, the oldest first."""
    return tuple(_version(row) for row in table("versions"))


@cache
def revisions() -> tuple[tuple[int, int], ...]:
    """Return every version with each of its revisions, the oldest first."""
    return tuple((item.number, minor) for item in versions() for minor in item.minors)


@cache
def writable() -> tuple[int, ...]:
    """Return the versions that sets can be brought to."""
    return tuple(item.number for item in versions() if item.use in {"write", "default"})


@cache
def default_version() -> int:
    """Return the version that is written where nothing asks for another."""
    return next(item.number for item in versions() if item.use == "default")


def facts_version(number: int) -> int:
    """Return the version whose facts hold for a version: that of a draft is another one, an unknown one its own."""
    return next((item.facts for item in versions() if item.number == number), number)


def has(feature: str, number: int) -> bool:
    """Tell whether a version has something that no element or attribute tells, such as ``closed rings``.

    Raises
    ------
    KeyError
        ``data/features.csv`` has no such feature.
    """
    return _features()[feature].holds(facts_version(number))


def either(numbers: tuple[int, ...]) -> str:
    """Return versions as words: ``3 or 4``."""
    *first, last = map(str, numbers)
    return f"{', '.join(first)} or {last}" if first else last


@cache
def _features() -> dict[str, VersionSpan]:
    return {row["feature"]: span_of(row) for row in table("features")}


def span_of(row: dict[str, str]) -> VersionSpan:
    """Return the span that a row of a fact table states in the columns ``since`` and ``until``."""
    return VersionSpan(int(row["since"]) if row["since"] else None, int(row["until"]) if row["until"] else None)


def _version(row: dict[str, str]) -> PublishedVersion:
    return PublishedVersion(
        number=int(row["number"]),
        name=row["name"],
        edition=row["edition"],
        year=int(row["year"]) if row["year"] else None,
        minors=tuple(map(int, row["minors"].split())),
        facts=int(row["facts"]),
        use=row["use"],
        basis=row["basis"],
    )
