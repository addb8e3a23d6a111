"""Dataclasses of the program beside those of the standard library."""

from __future__ import annotations

import copy
import dataclasses
import inspect
import pickle
from collections.abc import Callable
from typing import Any

import pytest

from taskdata.dataclass import dataclass as late

KINDS = [
    {},
    {"frozen": True},
    {"slots": True},
    {"frozen": True, "slots": True},
    {"frozen": True, "eq": False},
    {"frozen": True, "slots": True, "weakref_slot": True, "eq": False},
]


def _class(decorator: Callable[..., Any], options: dict[str, bool]) -> Any:
    @decorator(**options)
    class Thing:
        """A thing."""

        name: str
        weight: float = 1.5
        marks: list[str] = dataclasses.field(default_factory=list)
        note: str = dataclasses.field(default="", compare=False)
        hidden: int = dataclasses.field(default=7, init=False, repr=False)
        made: list[int] = dataclasses.field(default_factory=lambda: [1], init=False, hash=False)

        def __post_init__(self) -> None:
            if self.weight < 0:
                raise ValueError(self.name)

    return Thing


@late(frozen=True, slots=True)
class Position:
    """Here, since only what a module holds can be pickled."""

    lat: float
    lon: float = 0.0


def _outcome(call: Callable[[], object]) -> object:
    try:
        return call()
    except Exception as error:
        return type(error), str(error)


@pytest.mark.parametrize("options", KINDS, ids=str)
def test_a_class_does_what_the_standard_library_makes_of_it(options: dict[str, bool]) -> None:
    def told(decorator: Callable[..., Any]) -> list[object]:
        kind = _class(decorator, options)
        nan = float("nan")
        thing, same, other = kind("a", 2.0), kind("a", weight=2.0, note="b"), kind("b", nan, ["c"])
        calls: list[Callable[[], object]] = [
            lambda: (
                thing == same,
                thing == other,
                other == copy.copy(other),
                other == kind("b", nan, ["c"]),
                thing == "a",
            ),
            lambda: repr(other),
            lambda: hash(kind("a", marks=())) == hash(kind("a", marks=(), note="b")),
            lambda: {thing: 1}[thing],
            lambda: dataclasses.astuple(other),
            lambda: setattr(thing, "name", "z"),
            lambda: delattr(thing, "note"),
            kind,
            lambda: kind("a", -1.0),
            lambda: kind("a", 1.0, [], "", 8),
            lambda: dataclasses.replace(thing, name="c").name,
            lambda: copy.copy(thing).marks is thing.marks,
            lambda: copy.deepcopy(thing).marks is thing.marks,
            lambda: kind("a").marks is kind("a").marks,
            lambda: inspect.signature(kind),
            lambda: (kind.__match_args__, hasattr(thing, "__dict__"), str(kind.__dataclass_params__.frozen)),
        ]
        return [str(_outcome(call)) for call in calls]

    assert told(late) == told(dataclasses.dataclass)


def test_a_record_is_pickled_and_stays_frozen() -> None:
    kept = pickle.loads(pickle.dumps(Position(1.0, lon=2.0)))  # noqa: S301  # made here
    assert kept == Position(1.0, 2.0)
    assert repr(kept) == "Position(lat=1.0, lon=2.0)"
    with pytest.raises(dataclasses.FrozenInstanceError):
        kept.lat = 2.0
