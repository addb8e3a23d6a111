"""The public functions: one call for one job, whatever the format.

Each is loaded with what it needs when it is first asked for.
"""

from __future__ import annotations

from importlib import import_module as _import_module
from typing import TYPE_CHECKING as _TYPE_CHECKING

if _TYPE_CHECKING:
    from taskdata.api.audit import check, make_receiver, rules
    from taskdata.api.many import read_many
    from taskdata.api.reading import Source, read
    from taskdata.api.reporting import report
    from taskdata.api.sets import clean, compare, write
    from taskdata.exchange.beside_sets import beside_sets
    from taskdata.exchange.choosing import Choosing
    from taskdata.exchange.convert import convert
    from taskdata.exchange.covering import coverage
    from taskdata.exchange.finding_sets import find_sets
    from taskdata.exchange.mapping_making import make_mapping
    from taskdata.exchange.merging import merge_sets as merge
    from taskdata.exchange.passing import passes
    from taskdata.exchange.rate_maps.mapping import ratemap
    from taskdata.exchange.shifting import shift
    from taskdata.exchange.survey_of_several import survey_of_several
    from taskdata.exchange.surveying import survey

__all__ = [
    "Choosing",
    "Source",
    "beside_sets",
    "check",
    "clean",
    "compare",
    "convert",
    "coverage",
    "find_sets",
    "make_mapping",
    "make_receiver",
    "merge",
    "passes",
    "ratemap",
    "read",
    "read_many",
    "report",
    "rules",
    "shift",
    "survey",
    "survey_of_several",
    "write",
]

_HOMES = {
    name: home
    for home, names in {
        "taskdata.api.audit": "check make_receiver rules",
        "taskdata.api.many": "read_many",
        "taskdata.api.reporting": "report",
        "taskdata.api.reading": "Source read",
        "taskdata.api.sets": "clean compare write",
        "taskdata.exchange.beside_sets": "beside_sets",
        "taskdata.exchange.choosing": "Choosing",
        "taskdata.exchange.convert": "convert",
        "taskdata.exchange.covering": "coverage",
        "taskdata.exchange.finding_sets": "find_sets",
        "taskdata.exchange.mapping_making": "make_mapping",
        "taskdata.exchange.merging": "merge",
        "taskdata.exchange.passing": "passes",
        "taskdata.exchange.rate_maps.mapping": "ratemap",
        "taskdata.exchange.shifting": "shift",
        "taskdata.exchange.survey_of_several": "survey_of_several",
        "taskdata.exchange.surveying": "survey",
    }.items()
    for name in names.split()
}
_CALLED = {"merge": "merge_sets"}
"""Functions that have another name where they are written."""


def __getattr__(name: str) -> object:
    """Load a public function when it is first asked for."""
    if name not in _HOMES:
        raise AttributeError(f"module 'taskdata.api' has no attribute {name!r}")
    found = getattr(_import_module(_HOMES[name]), _CALLED.get(name, name))
    globals()[name] = found
    return found


def __dir__() -> list[str]:
    return sorted({*(name for name in globals() if name.startswith("__")), *_HOMES})
