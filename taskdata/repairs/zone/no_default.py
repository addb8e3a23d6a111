"""Name a zone that applies nothing for places without a rate, for a lost position and for work outside the field.

Why it needs a look: nothing is the choice that does no harm where the map says nothing; the usual rate may be wanted
there. Only tasks whose zones set application rates and nothing else are repaired: zero is no depth and no width; and
only those whose setpoints the devices take, for what is wrong with them would stand in the new zone again. No
cell of a grid changes: a code that one holds is never given to a new zone. Try the task on the machine before relying
on it.
"""

from __future__ import annotations

import numpy as np

from taskdata.checks.setpoint import not_settable
from taskdata.checks.zone.no_default import check
from taskdata.isoxml.tree.element import Element
from taskdata.isoxml.tree.filenames import file_name
from taskdata.phrases import phrase
from taskdata.quantities.dictionary import ddi_number, entry
from taskdata.repairs.repair_work import RepairWork
from taskdata.results.cleaning import Standing

RULES = ("zone.no-default",)
STANDING = Standing.REVIEW
NEEDS = ("geometry.sliver", "task.unknown-zone", "zone.wrong-polygon-type")

NAMES = ("DefaultTreatmentZoneCode", "PositionLostTreatmentZoneCode", "OutOfFieldTreatmentZoneCode")
LAST_CODE = 254
BY_VALUE = "2"


def repair(work: RepairWork) -> None:
    """Fill in each missing code of a task with a map; a zone that applies nothing is made where there is none."""
    refused = {setpoint for setpoint, _ in work.found(not_settable.check)}
    for task, _ in work.found(check):
        zones = [zone for zone in task.elements("TZN") if next(zone.elements("PDV"), None) is not None]
        if not zones or not all(_sets_rates(zone) for zone in zones) or not refused.isdisjoint(task.walk()):
            continue
        rates = {_what(setpoint) for zone in zones for setpoint in zone.elements("PDV")}
        templates = {grid.get("TreatmentZoneCode") for grid in task.elements("GRD")}
        idle = (zone.get("TreatmentZoneCode") for zone in zones if _applies_nothing(zone, rates))
        code = next((code for code in idle if code not in templates), None)
        if code is None:
            code = _add_zone(work, task, zones)
        if code is None:
            continue
        for name in NAMES:
            if task.get(name) is None:
                work.note(
                    RULES[0], task, None, code, phrase("{name}: zone {code} applies nothing", name=name, code=code)
                )
                task.set(name, code)


def _sets_rates(zone: Element) -> bool:
    """Tell whether every setpoint of a zone is an application rate, and none has others nested in it."""
    return all(_is_rate(setpoint) for setpoint in zone.elements("PDV"))


def _is_rate(setpoint: Element) -> bool:
    ddi = ddi_number((setpoint.get("ProcessDataDDI") or "").strip())
    known = None if ddi is None else entry(ddi)
    plain = next(setpoint.elements("PDV"), None) is None
    return plain and known is not None and known.group == "rate" and known.kind == "setpoint"


def _what(setpoint: Element) -> tuple[int | None, str | None]:
    """Return the quantity that a setpoint sets and where, or else of which product."""
    ddi = ddi_number((setpoint.get("ProcessDataDDI") or "").strip())
    return ddi, setpoint.get("DeviceElementIdRef") or setpoint.get("ProductIdRef")


def _applies_nothing(zone: Element, rates: set[tuple[int | None, str | None]]) -> bool:
    """Tell whether a zone sets each of these rates to 0."""
    setpoints = list(zone.elements("PDV"))
    zero = all((setpoint.get("ProcessDataValue") or "").strip() == "0" for setpoint in setpoints)
    return zero and {_what(setpoint) for setpoint in setpoints} >= rates


def _free_code(work: RepairWork, task: Element) -> str | None:
    """Return a code that neither a zone of the task nor a cell of its grid has, None where none is sure to be free."""
    taken = {(zone.get("TreatmentZoneCode") or "").strip() for zone in task.elements("TZN")}
    for grid in task.elements("GRD"):
        if grid.get("GridType") != BY_VALUE:
            binary = work.document.binary(file_name(grid) or "")
            content = None if binary is None else binary.content()
            if content is None:
                return None
            taken |= set(map(str, np.unique(np.frombuffer(content, dtype=np.uint8)).tolist()))
    return next((str(code) for code in range(LAST_CODE + 1) if str(code) not in taken), None)


def _add_zone(work: RepairWork, task: Element, zones: list[Element]) -> str | None:
    """Add a zone that sets every rate of the task to 0; return its code, None where none is sure to be free."""
    code = _free_code(work, task)
    if code is None:
        return None
    zone = Element("TZN", file=task.file, line=zones[-1].line)
    zone.set("TreatmentZoneCode", code)
    seen: set[tuple[int | None, str | None]] = set()
    for setpoint in (item for other in zones for item in other.elements("PDV")):
        if _what(setpoint) not in seen:
            seen.add(_what(setpoint))
            nothing = Element("PDV", dict(setpoint.attributes), file=task.file, line=zone.line)
            nothing.set("ProcessDataValue", "0")
            zone.append(nothing)
    zone.parent = task
    task.children.insert(max(at for at, item in enumerate(task.children) if item in zones) + 1, zone)
    work.note(RULES[0], task, None, code, phrase("a zone that sets every rate of the task to 0"))
    work.touch()
    return code
