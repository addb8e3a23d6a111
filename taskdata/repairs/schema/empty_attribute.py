"""Leave out optional attributes that are empty, and fill in what an empty value stands for.

Why it is safe: an empty number, code, reference or time stamp says nothing. It is left where emptiness has a meaning:
in the header of a log and in a point whose positions lie in a binary file. A value of a log's header that is not stated
is stored in the records, which is written as an empty one; a rate of a template zone that is empty is written as 0, as
the cells hold the rates.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.isoxml.facts import AttributeFact, elements, letter
from taskdata.isoxml.to_model.grids import template_code
from taskdata.isoxml.tree.element import POINT, Element
from taskdata.phrases import phrase
from taskdata.repairs.repair_work import RepairWork
from taskdata.results.cleaning import Standing

RULES = ("schema.invalid-value", "schema.missing-attribute")
STANDING = Standing.SAFE
NEEDS = ("file.misread-letters", "file.not-utf-8")

_VALUE, _DDI = "ProcessDataValue", "ProcessDataDDI"


def repair(work: RepairWork) -> None:
    """Correct each such attribute."""
    for element in work.document.walk():
        for fact in list(_empty(element)):
            work.note(RULES[0], element, "", None, phrase("an empty {name} carries no information", name=fact.name))
            del element.attributes[fact.letter]
    for grid in work.tagged("GRD"):
        for setpoint in _template(grid):
            if setpoint.attributes.get(letter("PDV", _VALUE)) == "":
                work.note(RULES[0], setpoint, "", "0", phrase("the cells of the grid hold the rates"))
                setpoint.set(_VALUE, "0")
    for file in work.document.xml_files:
        for value in file.root.elements("DLV") if file.role == "header" else ():
            if letter("DLV", _VALUE) not in value.attributes and value.get(_DDI):
                work.note(RULES[1], value, None, "", phrase("the records hold the value"))
                value.set(_VALUE, "")


def _empty(element: Element) -> Iterator[AttributeFact]:
    """Yield the optional attributes that are empty and may not be."""
    known = elements().get(element.tag)
    if known is None or (element.tag == POINT and element.get("Filename") is not None):
        return
    for key, text in element.attributes.items():
        fact = known.attributes.get(key)
        if fact is None or fact.required or text.strip():
            continue
        if fact.type not in {"xs:string", "xs:anyURI"} or fact.min_length:
            yield fact


def _template(grid: Element) -> Iterator[Element]:
    """Yield the setpoints of the template zone of a grid."""
    code = template_code(grid)
    for zone in grid.parent.elements("TZN") if grid.parent is not None and code is not None else ():
        if zone.get("TreatmentZoneCode") == code:
            yield from zone.elements("PDV")
