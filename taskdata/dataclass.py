"""Dataclasses whose methods are made when they are first called for.

The decorator of the standard library writes and compiles six functions for each class while a module is loaded, half a
millisecond for a class; a start of the program loads a hundred classes and makes records of a few. Here each method is
compiled when it is first called for, and showing and what keeps a record frozen are functions that all classes share.

What comes out is a dataclass to everything else: `dataclasses.fields`, `replace`, `asdict`, pickling, signatures.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Iterator
from reprlib import recursive_repr
from types import FunctionType
from typing import TYPE_CHECKING, Any

__all__ = ["dataclass"]
_MADE = {"__init__", "__eq__", "__hash__", "__repr__", "__setattr__", "__delattr__", "__getstate__", "__setstate__"}


class _Factory:
    """Stands in signatures for a default that is made anew for each record."""

    def __repr__(self) -> str:
        return "<factory>"


_FACTORY = _Factory()

if TYPE_CHECKING:
    from dataclasses import dataclass
else:

    def dataclass(cls=None, /, *, frozen=False, slots=False, weakref_slot=False, eq=True, repr=True):  # noqa: A002  # as there
        """Make a class a dataclass; the arguments are those of the standard library."""

        def made(cls):
            return _made(cls, frozen=frozen, slots=slots, weakref_slot=weakref_slot, eq=eq, repr=repr)

        return made if cls is None else made(cls)


def _made(cls: type[Any], *, frozen: bool, eq: bool, repr: bool, **slots: bool) -> Any:  # noqa: A002
    if not _MADE.isdisjoint(vars(cls)):
        return dataclasses.dataclass(frozen=frozen, eq=eq, repr=repr, **slots)(cls)
    heir = any(map(dataclasses.is_dataclass, cls.__bases__))  # whose being frozen is compared with that of its bases
    record: Any = dataclasses.dataclass(init=False, repr=False, eq=False, frozen=frozen and heir, **slots)(cls)
    record.__init__ = _Late(record, "__init__", _init_frozen if frozen else _init)
    if repr:
        record.__repr__ = _shown
    if eq:
        record.__eq__ = _Late(record, "__eq__", _eq)
        record.__hash__ = _Late(record, "__hash__", _hash) if frozen else None
    if frozen:
        record.__dataclass_params__.frozen = True
        record.__setattr__, record.__delattr__ = _no_assignment, _no_deletion
    if frozen and slots["slots"]:
        record.__getstate__, record.__setstate__ = _state, _set_state
    return record


class _Late:
    """Stands for a method of a class until it is asked for, and puts it in its place then."""

    def __init__(self, cls: type[Any], name: str, write: Callable[[type[Any], dict[str, Any]], str]) -> None:
        self.cls, self.name, self.write = cls, name, write

    def __get__(self, record: object, owner: type[Any]) -> Callable[..., Any]:
        if vars(self.cls)[self.name] is self:
            setattr(self.cls, self.name, self._made())
        return vars(self.cls)[self.name].__get__(record, owner)  # type: ignore[no-any-return]

    def _made(self) -> FunctionType:
        """Compile a text that holds names of attributes and no value of them, as the standard library does."""
        names: dict[str, Any] = {"__name__": self.cls.__module__}
        exec(self.write(self.cls, names), names)  # noqa: S102
        made: FunctionType = names[self.name]
        made.__qualname__ = f"{self.cls.__qualname__}.{self.name}"
        if self.name == "__init__":
            typed = {item.name: item.type for item in dataclasses.fields(self.cls) if item.init}
            made.__annotations__ = typed | {"return": None}
        return made


def _init(cls: type[Any], names: dict[str, Any]) -> str:
    lines = [f"self.{name} = {value}" for name, value in _values(cls, names)]
    return _init_of(cls, lines)


def _init_frozen(cls: type[Any], names: dict[str, Any]) -> str:
    """Set slots by themselves, which is quicker than by name."""
    slots = {name for base in cls.__mro__ for name in vars(base).get("__slots__", ())}
    names["_set"] = object.__setattr__
    names |= {f"_set_{name}": getattr(cls, name).__set__ for name in slots}
    return _init_of(
        cls,
        [
            f"_set_{name}(self, {value})" if name in slots else f"_set(self, {name!r}, {value})"
            for name, value in _values(cls, names)
        ],
    )


def _init_of(cls: type[Any], lines: list[str]) -> str:
    lines += ["self.__post_init__()"] if hasattr(cls, "__post_init__") else []
    parameters = [
        item.name + ("" if _required(item) else f"=_default_{item.name}")
        for item in dataclasses.fields(cls)
        if item.init
    ]
    return f"def __init__({', '.join(['self', *parameters])}):\n " + "\n ".join(lines or ["pass"])


def _required(item: dataclasses.Field[Any]) -> bool:
    return item.default is dataclasses.MISSING and item.default_factory is dataclasses.MISSING


def _values(cls: type[Any], names: dict[str, Any]) -> Iterator[tuple[str, str]]:
    """Yield each attribute with what it is set to, and put defaults among the names."""
    for item in dataclasses.fields(cls):
        given, default = item.name, f"_default_{item.name}"
        if not _required(item):
            names[default] = _FACTORY if item.default is dataclasses.MISSING else item.default
        if item.default_factory is not dataclasses.MISSING:
            names[f"_make_{given}"] = item.default_factory
            yield given, f"_make_{given}() if {given} is {default} else {given}" if item.init else f"_make_{given}()"
        else:
            yield given, given if item.init else default


def _eq(cls: type[Any], _names: dict[str, Any]) -> str:
    names = [item.name for item in dataclasses.fields(cls) if item.compare]
    own, others = (_listed(of, names) for of in ("self", "other"))
    return (
        f"def __eq__(self, other):\n return {own} == {others} if other.__class__ is self.__class__ else NotImplemented"
    )


def _hash(cls: type[Any], _names: dict[str, Any]) -> str:
    names = [item.name for item in dataclasses.fields(cls) if (item.compare if item.hash is None else item.hash)]
    return f"def __hash__(self):\n return hash({_listed('self', names)})"


def _listed(of: str, names: list[str]) -> str:
    return f"({''.join(f'{of}.{name}, ' for name in names)})"


@recursive_repr()
def _shown(record: Any) -> str:
    shown = (f"{item.name}={getattr(record, item.name)!r}" for item in dataclasses.fields(record) if item.repr)
    return f"{type(record).__qualname__}({', '.join(shown)})"


def _no_assignment(_record: object, name: str, _value: object) -> None:
    raise dataclasses.FrozenInstanceError(f"cannot assign to field {name!r}")


def _no_deletion(_record: object, name: str) -> None:
    raise dataclasses.FrozenInstanceError(f"cannot delete field {name!r}")


def _state(record: Any) -> list[object]:
    return [getattr(record, item.name) for item in dataclasses.fields(record)]


def _set_state(record: Any, state: list[object]) -> None:
    for item, value in zip(dataclasses.fields(record), state, strict=True):
        object.__setattr__(record, item.name, value)
