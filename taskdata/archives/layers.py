"""The layers of a catalogue and their columns."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType

from taskdata.findings import Severity
from taskdata.formats.columns import ID, KEY, Column, ColumnType, GeometryType, LayerSpec
from taskdata.formats.layers import fields, guidance
from taskdata.model.tasks import TaskStatus

IDENTITY = "identity"
_TEXT, _TIME, _COUNT, _REAL = ColumnType.TEXT, ColumnType.TIME, ColumnType.INTEGER, ColumnType.REAL
_SET = Column("set", _TEXT, "SHA-256 of the names and contents of the files of its set; the same in every copy")
_SOURCE = Column("source", _TEXT, "Path at which its set was first found, as it was named")
_HEAD = (Column(IDENTITY, _TEXT, "The same in every set that holds the same thing"), _SET, _SOURCE)
_FIELD = Column("field_identity", _TEXT, "Identity of its field")
_STATUS = tuple(status.name.lower() for status in TaskStatus)


def _layer(
    name: str, geometry: GeometryType | None, description: str, id_of: str, named: str, *columns: Column
) -> LayerSpec:
    own = (Column(ID, _TEXT, id_of), Column("name", _TEXT, named))
    return LayerSpec(name, geometry, description, (*_HEAD, *own, *columns), may_be_empty=True)


def _of(spec: LayerSpec, name: str, *more: Column) -> LayerSpec:
    """Return a layer of a set as one of the catalogue."""
    columns = tuple(
        replace(
            column, derived=False, description=column.description.partition("; change it")[0]
        )  # nothing is read back
        for column in spec.columns
        if column.name != KEY
    )
    return replace(spec, name=name, columns=(*_HEAD, *columns, *more), may_be_empty=True)


LAYERS: Mapping[str, LayerSpec] = MappingProxyType(
    {
        spec.name: spec
        for spec in (
            _of(fields.SPEC, "fields"),
            _of(guidance.SPEC, "guidance", _FIELD),
            _layer(
                "tasks",
                None,
                "Each task.",
                "Identifier of the task, such as TSK1",
                "Name",
                Column("status", _TEXT, "What its state is", _STATUS),
                Column("field", _TEXT, "Identifier of its field"),
                Column("field_name", _TEXT, "Name of the field"),
                _FIELD,
                Column("customer_name", _TEXT, "Name of the customer"),
                Column("farm_name", _TEXT, "Name of the farm"),
                Column("start", _TIME, "First time, planned or done, as written there; else that of its logs"),
                Column("end", _TIME, "Last time, the same way"),
                Column("machines", _TEXT, "Identities of the machines allocated to it, separated by blanks"),
            ),
            _layer(
                "machines",
                None,
                "Each description of a machine; another description of the same machine is another thing.",
                "Identifier of the machine, such as DVC1",
                "Name",
                Column("client_name", _TEXT, "NAME of the machine on the bus, 16 hexadecimal digits"),
                Column("serial", _TEXT, "Serial number"),
                Column("software", _TEXT, "Version of its software"),
                Column("structure_label", _TEXT, "What tells its descriptions apart, hexadecimal"),
                Column("localization_label", _TEXT, "Language and units of the description, hexadecimal"),
                Column("working_width_m", _REAL, "Width of the widest part that gives one"),
                Column("sections", _COUNT, "How many sections it has"),
            ),
            _layer(
                "logs",
                GeometryType.POLYGON,
                "Each time log with the box around its positions.",
                "Name of its files without suffix",
                "Name of its task",
                Column("task", _TEXT, "Identifier of its task"),
                Column("task_identity", _TEXT, "Identity of its task"),
                _FIELD,
                Column("records", _COUNT, "How many records it has; empty = it could not be read"),
                Column("start", _TIME, "Local time of the first record"),
                Column("end", _TIME, "Local time of the last record"),
            ),
            _layer(
                "findings",
                GeometryType.POINT,
                "What a check of the set found; of more than 50 findings of one rule the last row counts the rest.",
                "Identifier of the nearest element, as in the document of check",
                "Name of the thing that has the fault",
                Column("rule", _TEXT, "Rule"),
                Column("severity", _TEXT, "Severity", tuple(Severity)),
                Column("count", _COUNT, "How many findings the row stands for: 1, or the rest"),
                Column("message", _TEXT, "What is wrong"),
                Column("thing", _TEXT, "Layer of the thing that has the fault; empty = another or the whole set"),
                Column("thing_identity", _TEXT, "Identity of that thing"),
                Column("file", _TEXT, "File in the set"),
                Column("line", _COUNT, "Line in that file"),
                Column("path", _TEXT, "XPath of the element"),
                Column("clause", _TEXT, "Clause of the standard"),
            ),
            LayerSpec(
                "sets",
                GeometryType.POLYGON,
                "Each place at which a set was found, with the box around the set; a copy has a row of its own.",
                (
                    replace(_SET, description=f"{_SET.description}; empty = its files could not be read"),
                    replace(_SOURCE, description="Path, as it was named"),
                    Column("format", _TEXT, "Format"),
                    Column("version", _TEXT, "Version of the standard that it states"),
                    Column("origin", _TEXT, "FMIS (office) or MICS (machine), the last writer"),
                    Column("error", _TEXT, "Why it could not be read; its set has no other rows then"),
                ),
                may_be_empty=True,
            ),
        )
    }
)
"""Every layer of a catalogue by name."""
