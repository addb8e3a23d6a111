"""A zone with polygons and several setpoints becomes one zone for each setpoint."""

from __future__ import annotations

from taskdata.adapt.adaptation import Adaptation, replace_child
from taskdata.adapt.zones import clear_polygons, copied, free_codes, grid_codes, named_codes, plain_code, taken_codes
from taskdata.isoxml.tree.element import Element
from taskdata.phrases import phrase


def split_zones(work: Adaptation) -> None:
    """Make one zone with a free code for each setpoint of a zone with polygons (R-260, R-261).

    The first keeps the code. Where the task or a grid names the zone, it stays without polygons for that use, and all
    its parts get new codes. Where the codes 0 to 254 run out, the zone stays as it is, and the ledger says so. A zone
    with polygons but without a setpoint says no rate: its polygons go.
    """
    for task in work.tagged("TSK"):
        taken = taken_codes(task)
        named: set[str] | None = None
        for zone in list(task.elements("TZN")):
            setpoints = list(zone.elements("PDV"))
            if len(setpoints) == 1 or not any(zone.elements("PLN")):
                continue
            if named is None:
                named = named_codes(task) | grid_codes(work.document, task)
            if setpoints:
                _split(work, task, zone, taken, named)
            else:
                _clear(work, task, zone, named)


def _split(work: Adaptation, task: Element, zone: Element, taken: set[str], named: set[str]) -> None:
    code, setpoints = zone.get("TreatmentZoneCode") or "", list(zone.elements("PDV"))
    used = plain_code(code) in named
    wanted = len(setpoints) - (0 if used else 1)
    free = free_codes(taken)[:wanted]
    if len(free) < wanted:
        what = phrase("zone {code} keeps polygons with {count} setpoints", code=code, count=len(setpoints))
        work.alter(
            zone,
            what,
            phrase(
                "no zone codes are left; version {target} requires one setpoint, so a terminal may refuse it",
                target=work.target,
            ),
        )
        return
    taken.update(free)
    codes = free if used else [code, *free]
    parts = [_part(zone, number, setpoint) for number, setpoint in zip(codes, setpoints, strict=True)]
    why = phrase("version {target} requires one setpoint per zone with polygons", target=work.target)
    work.alter(
        zone,
        phrase(
            "zone {code} becomes {count} zones with the codes {codes}",
            code=code,
            count=len(parts),
            codes=", ".join(codes),
        ),
        why,
    )
    if used:
        clear_polygons(zone)
        work.alter(
            zone, phrase("zone {code} stays without polygons", code=code), phrase("the task or a grid refers to it")
        )
    replace_child(task, zone, [zone, *parts] if used else parts)


def _part(zone: Element, code: str, setpoint: Element) -> Element:
    """Return a zone of the same place with one setpoint."""
    part = copied(zone)
    part.set("TreatmentZoneCode", code)
    kept = copied(setpoint)
    part.children = [child for child in part.children if not (isinstance(child, Element) and child.tag == "PDV")]
    part.append(kept)
    return part


def _clear(work: Adaptation, task: Element, zone: Element, named: set[str]) -> None:
    code = zone.get("TreatmentZoneCode") or ""
    if plain_code(code) in named:
        clear_polygons(zone)
        work.drop(zone, phrase("polygons of zone {code}", code=code), phrase("it has no setpoint"))
    else:
        work.drop(
            zone,
            phrase("zone {code} with its polygons", code=code),
            phrase("it has no setpoint, and nothing refers to it"),
        )
        task.children.remove(zone)
