"""What differs between two sets."""

from __future__ import annotations

from enum import StrEnum
from string import digits

from taskdata.dataclass import dataclass
from taskdata.findings import Fact, Finding
from taskdata.phrases import phrase
from taskdata.records import short_repr


class DifferenceKind(StrEnum):
    """Whether a thing came, went, says something else, or lies elsewhere."""

    ADDED = "added"
    REMOVED = "removed"
    CHANGED = "changed"
    MOVED = "moved"


class Aspect(StrEnum):
    """What many differences of one comparison may have in common, so that they can be told in one sentence."""

    OWN = "own"
    RENUMBERED = "renumbered"
    SHIFTED = "shifted"


@short_repr
@dataclass(frozen=True, slots=True)
class Difference:
    """One difference; as a text it is a sentence.

    Parameters
    ----------
    kind : DifferenceKind
        What happened.
    a, b : str or None
        Identifier of the nearest identified element in the first and in the second set.
    what : str
        The thing in plain words.
    before, after : str, int, float or None
        What it was and what it is.
    distance_m : float or None
        Of a thing that lies elsewhere: the largest distance in metres.
    thing : str
        What it is about, without what happened to it.
    aspect : Aspect
        ``RENUMBERED`` where only a number differs, ``SHIFTED`` where a thing lies elsewhere by the common shift.
    vector : tuple of float or None
        Of a thing that lies elsewhere: metres east and north.
    """

    kind: DifferenceKind
    a: str | None
    b: str | None
    what: str
    before: Fact = None
    after: Fact = None
    distance_m: float | None = None
    thing: str = ""
    aspect: Aspect = Aspect.OWN
    vector: tuple[float, float] | None = None

    def __str__(self) -> str:
        return f"{self.kind}: {sentence(self)}."


@short_repr
@dataclass(frozen=True, slots=True)
class CommonShift:
    """A shift that many things have in common: a datum difference, most likely, or a drift.

    ``share`` is the part of the paired shapes that moved by it, 0 to 1. A component is None where all lines run along
    it, so that it cannot be known.
    """

    east_m: float | None
    north_m: float | None
    share: float


@short_repr
@dataclass(frozen=True, slots=True)
class Comparison:
    """What differs between two sets.

    Parameters
    ----------
    first, second : str
        Their paths.
    differences : tuple of Difference
        All of them.
    common_shift : CommonShift or None
        What many shapes moved by alike, None where there is no such shift.
    findings : tuple of Finding
        What reading the sets found wrong.
    """

    first: str
    second: str
    differences: tuple[Difference, ...]
    common_shift: CommonShift | None = None
    findings: tuple[Finding, ...] = ()

    @property
    def equal(self) -> bool:
        """Tell whether nothing differs."""
        return not self.differences


def sentence(item: Difference) -> str:
    """Return one difference in one sentence, without a full stop."""
    text = item.what
    if item.aspect is not Aspect.RENUMBERED and _other_number(item.a, item.b):
        text = phrase("{what} ({other} there)", what=text, other=item.b)
    before, after = (_value(value) for value in (item.before, item.after))
    if item.kind in {DifferenceKind.ADDED, DifferenceKind.REMOVED}:
        value = item.before if item.kind is DifferenceKind.REMOVED else item.after
        text = text if value is None else phrase("{what}: {value}", what=text, value=_value(value))
    elif item.before is not None or item.after is not None:
        text = phrase("{what}: {before} -> {after}", what=text, before=before, after=after)
    if item.distance_m is not None:
        text = phrase("{what}; up to {distance:.3f} m apart", what=text, distance=item.distance_m)
    return text


def _value(value: Fact) -> str:
    if value is None:
        return phrase("none")
    return (
        phrase("{number:.10g}", number=value)
        if isinstance(value, float)
        else value
        if isinstance(value, str)
        else str(value)
    )


def _other_number(a: str | None, b: str | None) -> bool:
    """Tell whether two identifiers of one kind differ."""
    return a is not None and b is not None and a != b and a.rstrip(digits + "-") == b.rstrip(digits + "-")
