"""Convert, check and look into ISO 11783-10 task data (ISO-XML) and its GIS relatives.

::

    import taskdata
    data = taskdata.read("stick/TASKDATA")        # one model, whatever the format
    taskdata.check(data).summary
    taskdata.write(data, "farm.gpkg")

Everything public is listed in ``__all__`` and loaded when it is first asked for, so that importing is instant.
"""

from __future__ import annotations

from importlib import import_module, metadata
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from taskdata.api import (
        check,
        clean,
        compare,
        convert,
        coverage,
        find_sets,
        make_receiver,
        merge,
        passes,
        read,
        rules,
        shift,
        write,
    )
    from taskdata.api.dataset import Dataset
    from taskdata.checks.baseline import write_baseline
    from taskdata.errors import SourceError, TargetError, TaskdataError, UsageError
    from taskdata.fieldwork.implement import Implement
    from taskdata.findings import Finding, Place, Rule, Severity
    from taskdata.ledger import Loss, LossKind
    from taskdata.model.receiver import Receiver
    from taskdata.results.audit import CheckReport
    from taskdata.results.cleaning import Cleaning
    from taskdata.results.comparison import Comparison, Difference
    from taskdata.results.conversion import Conversion
    from taskdata.results.coverage import Coverage, Covered

__all__ = [
    "CheckReport",
    "Cleaning",
    "Comparison",
    "Conversion",
    "Coverage",
    "Covered",
    "Dataset",
    "Difference",
    "Finding",
    "Implement",
    "Loss",
    "LossKind",
    "Place",
    "Receiver",
    "Rule",
    "Severity",
    "SourceError",
    "TargetError",
    "TaskdataError",
    "UsageError",
    "check",
    "clean",
    "compare",
    "convert",
    "coverage",
    "find_sets",
    "make_receiver",
    "merge",
    "passes",
    "read",
    "rules",
    "shift",
    "write",
    "write_baseline",
]

_HOMES = {
    "CheckReport": "taskdata.results.audit",
    "Cleaning": "taskdata.results.cleaning",
    "Comparison": "taskdata.results.comparison",
    "Conversion": "taskdata.results.conversion",
    "Coverage": "taskdata.results.coverage",
    "Covered": "taskdata.results.coverage",
    "Dataset": "taskdata.api.dataset",
    "Difference": "taskdata.results.comparison",
    "Finding": "taskdata.findings",
    "Implement": "taskdata.fieldwork.implement",
    "Loss": "taskdata.ledger",
    "LossKind": "taskdata.ledger",
    "Place": "taskdata.findings",
    "Receiver": "taskdata.model.receiver",
    "Rule": "taskdata.findings",
    "Severity": "taskdata.findings",
    "SourceError": "taskdata.errors",
    "TargetError": "taskdata.errors",
    "TaskdataError": "taskdata.errors",
    "UsageError": "taskdata.errors",
    "check": "taskdata.api",
    "clean": "taskdata.api",
    "compare": "taskdata.api",
    "convert": "taskdata.api",
    "coverage": "taskdata.api",
    "find_sets": "taskdata.api",
    "make_receiver": "taskdata.api",
    "merge": "taskdata.api",
    "passes": "taskdata.api",
    "read": "taskdata.api",
    "rules": "taskdata.api",
    "shift": "taskdata.api",
    "write": "taskdata.api",
    "write_baseline": "taskdata.checks.baseline",
}


def __getattr__(name: str) -> Any:
    """Load a public name when it is first asked for."""
    if name == "__version__":
        return metadata.version("taskdata")
    if name not in _HOMES:
        raise AttributeError(f"module 'taskdata' has no attribute {name!r}")
    found = getattr(import_module(_HOMES[name]), name)
    globals()[name] = found
    return found


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})
