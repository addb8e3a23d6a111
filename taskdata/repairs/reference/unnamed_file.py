"""Name the external file that holds what a reference leads to, where it lies in the set and nothing names it.

Why it needs a look: the file may be an older one that was left out on purpose. A file is left that holds an identifier
which the set has already, or whose name is none of an external file.
"""

from __future__ import annotations

from taskdata.isoxml.facts import EXTERNAL_ROOT
from taskdata.isoxml.tree.element import Element
from taskdata.phrases import phrase
from taskdata.repairs.reference._whereabouts import EXTERNAL, XML, Unnamed, Whereabouts, is_name
from taskdata.repairs.repair_work import RepairWork
from taskdata.results.cleaning import Standing

RULES = ("reference.dangling",)
STANDING = Standing.REVIEW
NEEDS = ("file.name-in-other-case", "identity.reserved-number")

XML_TYPE = "1"


def repair(work: RepairWork) -> None:
    """Name each such file in the main file, and read it."""
    lost = _lost(work)
    for item in Whereabouts(work.document).unnamed if lost else ():
        targets = sorted(lost & item.ids)
        known = any(name in work.document.by_id for name in item.ids)
        if targets and not known and item.file.root.tag == EXTERNAL_ROOT and is_name(item.file.name.upper()):
            _name(work, item, targets)


def _lost(work: RepairWork) -> set[str]:
    """Return the identifiers that are named and not in the set."""
    named = {target for element in work.document.walk() for _, target in element.references()}
    return named - work.document.by_id.keys()


def _name(work: RepairWork, item: Unnamed, targets: list[str]) -> None:
    document = work.document
    name = item.file.name.upper()
    reference = next((entry for entry in work.tagged(EXTERNAL) if entry.get("Filename") is None), None)
    if reference is None:
        reference = Element(EXTERNAL, file=document.main.name)
        document.root.append(reference)
    reference.set("Filename", name.removesuffix(XML))
    reference.set("Filetype", XML_TYPE)
    del document.others[name]
    document.xml_files.append(item.file)
    document.findings += item.findings
    work.touch()
    held = targets[0] if len(targets) == 1 else f"{targets[0]} and {len(targets) - 1} more"
    work.note(
        RULES[0],
        reference,
        None,
        name,
        phrase("{name} is in the set and holds {held}, but nothing referred to it", name=name, held=held),
    )
