"""Convert, check and compute ISO 11783-10 task data (ISO-XML) and its GIS relatives.

::

    import taskdata

    data = taskdata.read("stick/TASKDATA")     # one model, whatever the format
    taskdata.check(data).findings              # what is wrong, where, and what to do
    data.field("PFD3").guidance                # records, by identifier or name
    data.table("log_records")                  # layers as Arrow tables, or data.frame(...)
    taskdata.write(data, "farm.gpkg")          # whole or not at all

Functions (``help(taskdata.read)`` explains one)
    read, read_many     a source as a Dataset; many, also over a folder tree
    batch               one command over many sources, in parallel; called again it goes on
    catalogue           the sets of an archive as one GeoParquet data set; called again it grows
    survey              what lies on a stick or in a file, and what each thing most likely is
    find_sets           the task data sets in a folder, stick or archive
    write, convert      a Dataset, or a source, to any format, with a ledger of losses
    check, rules        audit against the standard and a receiving terminal; the rules
    clean               repair what can be repaired without guessing, with a journal
    merge, compare      several sets into one; what differs between two
    coverage            worked, double, missed and outside ground of tasks, with figures
    passes              the parallel passes of a field along a guidance line
    ratemap             a planned task with zones or a grid, of a layer of rates
    report              a page with map, findings and figures, for any browser
    shift               move lines, a field or everything, by metres given or estimated
    make_receiver       describe the terminal that wrote a set
    make_mapping        write what a survey found as a mapping file to correct
    write_baseline      accept findings that are known

What read returns
    Dataset             fields, tasks, machines, products ...; only, table, frame, from_frames
    Customer, Farm, Worker, Product, Crop
    Field               boundaries and other Areas, Lines, Points, GuidanceGroups
    Area, Line, Point   shapes in degrees; AreaKind, LineKind, PointKind say what each is
    GuidanceLine        what machines are steered along; GuidanceKind, GuidanceGroup
    Machine, Part       devices with their elements
    Task                planned or done work (TaskStatus) with Zones, a Grid, Logs
    Zone, Setpoint      a treatment zone and its rates; a Grid has cells with a rate or the code of a zone each
    Log, LogRecords     a time log: columns() and values(), or the raw records; LogColumn

What the other functions return
    CheckReport         Findings with Severity, Rule and Place
    Batch               a BatchedSource for each of many sources
    Conversion          what was written, with every Loss (LossKind)
    Cleaning, Merging   the same with journals of changes and choices
    Comparison          Differences
    Covered             a Coverage for each task
    Passes              a PassPlan of PlannedPasses
    RateMap             the bill, the rates and what was written
    Reported            the page, and how much the check found
    Shifted             by how much, and what moved
    Survey              Items with ItemKind, columns by ColumnRole and a CrsGuess
    Receiver            what a terminal takes
    Implement           an implement given by hand, for coverage

Failures are TaskdataErrors: UsageError (the call), SourceError (reading), TargetError (writing). Lines steer machines
and rates feed sprayers: the results advise; check the first pass by eye, keep people clear, and obey the product label.

Everything named here is loaded when it is first asked for, so that importing is instant.
"""

from __future__ import annotations

from importlib import import_module as _import_module
from typing import TYPE_CHECKING as _TYPE_CHECKING

if _TYPE_CHECKING:
    from taskdata.api import (
        check,
        clean,
        compare,
        convert,
        coverage,
        find_sets,
        make_mapping,
        make_receiver,
        merge,
        passes,
        ratemap,
        read,
        read_many,
        report,
        rules,
        shift,
        survey,
        write,
    )
    from taskdata.api.dataset import Dataset
    from taskdata.archives.cataloguing import catalogue
    from taskdata.batches.many import batch
    from taskdata.checks.baseline import write_baseline
    from taskdata.errors import SourceError, TargetError, TaskdataError, UsageError
    from taskdata.fieldwork.implement import Implement
    from taskdata.findings import Finding, Place, Rule, Severity
    from taskdata.ledger import Loss, LossKind
    from taskdata.model.fields import Customer, Farm, Field, GuidanceGroup, GuidanceKind, GuidanceLine
    from taskdata.model.log_columns import LogColumn
    from taskdata.model.logs import Log, LogRecords
    from taskdata.model.machines import Crop, Machine, Part, Product, Worker
    from taskdata.model.receiver import Receiver
    from taskdata.model.shapes import Area, AreaKind, Line, LineKind, Point, PointKind
    from taskdata.model.tasks import Grid, Setpoint, Task, TaskStatus, Zone
    from taskdata.results.audit import CheckReport
    from taskdata.results.batch import Batch, BatchedSource
    from taskdata.results.cleaning import Cleaning
    from taskdata.results.comparison import Comparison, Difference
    from taskdata.results.conversion import Conversion
    from taskdata.results.coverage import Coverage, Covered
    from taskdata.results.merging import Merging
    from taskdata.results.planning import Passes, PassPlan, PlannedPass
    from taskdata.results.rate_maps import RateMap
    from taskdata.results.reporting import Reported
    from taskdata.results.shifting import Shifted
    from taskdata.results.survey import ColumnRole, CrsGuess, Item, ItemKind, Survey

    __all__ = [
        "Area",
        "AreaKind",
        "Batch",
        "BatchedSource",
        "CheckReport",
        "Cleaning",
        "ColumnRole",
        "Comparison",
        "Conversion",
        "Coverage",
        "Covered",
        "Crop",
        "CrsGuess",
        "Customer",
        "Dataset",
        "Difference",
        "Farm",
        "Field",
        "Finding",
        "Grid",
        "GuidanceGroup",
        "GuidanceKind",
        "GuidanceLine",
        "Implement",
        "Item",
        "ItemKind",
        "Line",
        "LineKind",
        "Log",
        "LogColumn",
        "LogRecords",
        "Loss",
        "LossKind",
        "Machine",
        "Merging",
        "Part",
        "PassPlan",
        "Passes",
        "Place",
        "PlannedPass",
        "Point",
        "PointKind",
        "Product",
        "RateMap",
        "Receiver",
        "Reported",
        "Rule",
        "Setpoint",
        "Severity",
        "Shifted",
        "SourceError",
        "Survey",
        "TargetError",
        "Task",
        "TaskStatus",
        "TaskdataError",
        "UsageError",
        "Worker",
        "Zone",
        "batch",
        "catalogue",
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
        "write",
        "write_baseline",
    ]

_HOMES = {
    name: home
    for home, names in {
        "taskdata.api": "check clean compare convert coverage find_sets make_mapping make_receiver merge passes "
        "ratemap read read_many report rules shift survey write",
        "taskdata.api.dataset": "Dataset",
        "taskdata.archives.cataloguing": "catalogue",
        "taskdata.batches.many": "batch",
        "taskdata.checks.baseline": "write_baseline",
        "taskdata.errors": "SourceError TargetError TaskdataError UsageError",
        "taskdata.fieldwork.implement": "Implement",
        "taskdata.findings": "Finding Place Rule Severity",
        "taskdata.ledger": "Loss LossKind",
        "taskdata.model.fields": "Customer Farm Field GuidanceGroup GuidanceKind GuidanceLine",
        "taskdata.model.log_columns": "LogColumn",
        "taskdata.model.logs": "Log LogRecords",
        "taskdata.model.machines": "Crop Machine Part Product Worker",
        "taskdata.model.receiver": "Receiver",
        "taskdata.model.shapes": "Area AreaKind Line LineKind Point PointKind",
        "taskdata.model.tasks": "Grid Setpoint Task TaskStatus Zone",
        "taskdata.results.audit": "CheckReport",
        "taskdata.results.batch": "Batch BatchedSource",
        "taskdata.results.cleaning": "Cleaning",
        "taskdata.results.comparison": "Comparison Difference",
        "taskdata.results.conversion": "Conversion",
        "taskdata.results.coverage": "Coverage Covered",
        "taskdata.results.merging": "Merging",
        "taskdata.results.planning": "PassPlan Passes PlannedPass",
        "taskdata.results.rate_maps": "RateMap",
        "taskdata.results.reporting": "Reported",
        "taskdata.results.shifting": "Shifted",
        "taskdata.results.survey": "ColumnRole CrsGuess Item ItemKind Survey",
    }.items()
    for name in names.split()
}


def __getattr__(name: str) -> object:
    """Load a public name when it is first asked for."""
    if name == "__version__":
        from importlib import metadata  # noqa: PLC0415  # it takes longer to load than all else here

        return metadata.version("taskdata")
    if name not in _HOMES:
        raise AttributeError(f"module 'taskdata' has no attribute {name!r}")
    found = getattr(_import_module(_HOMES[name]), name)
    globals()[name] = found
    return found


def __dir__() -> list[str]:
    return sorted({*(name for name in globals() if name.startswith("__")), *_HOMES})
