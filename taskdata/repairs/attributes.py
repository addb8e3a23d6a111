"""Repairs that only set or take out an attribute at each element that a rule names: one table, one row a repair."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache, partial
from typing import TypeAlias

from taskdata.checks.registry import Check, rules
from taskdata.dataclass import dataclass
from taskdata.isoxml.tree.element import Element
from taskdata.isoxml.tree.filenames import is_link_list
from taskdata.phrases import Phrase
from taskdata.repairs.repair_work import RepairWork
from taskdata.results.cleaning import Standing

Test: TypeAlias = Callable[[Element], bool]


def _every_element(_: RepairWork) -> Test:
    return lambda _: True


def _link_lists(_: RepairWork) -> Test:
    return is_link_list


def _unnamed(work: RepairWork) -> Test:
    """Leave what something refers to: a reference or an identity would be lost with the identifier."""
    named = {item.attributes[letter] for item, letter in work.references()}
    return lambda element: element.id not in named


@dataclass(frozen=True, slots=True)
class AttributeRepair:
    """One row: what is set where a rule finds something.

    Parameters
    ----------
    rule : str
        Rule whose findings name the elements.
    attribute : str
        Name of the attribute by the standard; ``{fact}`` is a fact of the finding, here and in the next two.
    value : str or None
        What it becomes; None takes the attribute out.
    reason : str
        Why, for the journal.
    standing : Standing
        How much is decided.
    about : str
        The page: what is done, and why it is safe or needs a look.
    needs : tuple of str
        See ``taskdata.repairs.registry``.
    choose : callable
        From the work to a test of the elements that may be changed; the others are left.
    """

    rule: str
    attribute: str
    value: str | None
    reason: str
    standing: Standing
    about: str
    needs: tuple[str, ...] = ()
    choose: Callable[[RepairWork], Test] = _every_element


_UNREFERENCED = (
    "Why it is safe: nothing refers to them. One that a link names is left: an identity would be lost with it."
)
_OWN_ID = "only independent elements have an identifier"

ATTRIBUTE_REPAIRS: tuple[AttributeRepair, ...] = (
    AttributeRepair(
        "attachment.may-be-dropped",
        "Preserve",
        "2",
        "world-wide identifiers have to come back",
        Standing.SAFE,
        "Mark the link list as a file that a terminal has to preserve.\n\n"
        "Why it is safe: no content changes; a terminal only keeps what it might have dropped.",
        needs=("attachment.wrong-link-list", "linklist.not-attached"),
    ),
    AttributeRepair(
        "attachment.unwanted-maker",
        "ManufacturerGLN",
        "",
        "the type {code} is predefined and belongs to no manufacturer",
        Standing.REVIEW,
        "Empty the manufacturer of attached files of a predefined type.\n\n"
        "Why it needs a look: the type may be what is wrong, and the manufacturer right.",
        needs=("attachment.wrong-link-list",),
    ),
    AttributeRepair(
        "attachment.wrong-link-list",
        "FileType",
        "1",
        "this is the type of the link list",
        Standing.SAFE,
        "Give an attached file of the name LINKLIST.XML the type of the link list.\n\n"
        "Why it is safe: no other file may have that name (ISO 11783-10, E.2). A file of another name that has the "
        "type of the link list is left: which type it has cannot be told.",
        choose=_link_lists,
    ),
    AttributeRepair(
        "geometry.unwanted-line-id",
        "LineStringId",
        None,
        _OWN_ID,
        Standing.SAFE,
        f"Take the identifiers out of lines inside polygons and guidance patterns.\n\n{_UNREFERENCED}",
        needs=("identity.repeated-id", "reference.unnamed_file"),
        choose=_unnamed,
    ),
    AttributeRepair(
        "geometry.unwanted-point-id",
        "PointId",
        None,
        _OWN_ID,
        Standing.SAFE,
        f"Take the identifiers out of points inside lines.\n\n{_UNREFERENCED}",
        needs=("identity.repeated-id", "reference.unnamed_file"),
        choose=_unnamed,
    ),
    AttributeRepair(
        "linklist.other-version",
        "FileVersion",
        "{found}",
        "the link list itself says so",
        Standing.REVIEW,
        "State the file version that the link list has.\n\n"
        "Why it needs a look: the link list may be of an older hand-over, and its identities may fit other things by "
        "now.",
        needs=("linklist.not-attached", "attachment.wrong-link-list"),
    ),
    AttributeRepair(
        "linklist.unwanted-namespace",
        "LinkGroupNamespace",
        None,
        "links of this type have no namespace",
        Standing.REVIEW,
        "Take namespaces out of link groups whose type does not use them.\n\n"
        "Why it needs a look: if the values need the namespace, the type of the group is wrong.",
    ),
    AttributeRepair(
        "stamp.no-duration",
        "Duration",
        None,
        "a duration of zero means that the end was never filled in",
        Standing.REVIEW,
        "Leave out durations of zero seconds.\n\n"
        "Why it needs a look: the time has no length then either; its end may have to be filled in.",
        needs=("stamp.wrong-duration",),
    ),
    AttributeRepair(
        "stamp.wrong-duration",
        "Duration",
        "{expected:.0f}",
        "this is the time from start to stop",
        Standing.REVIEW,
        "State the duration that passes from start to stop.\n\nWhy it needs a look: the stamps may be what is wrong.",
        needs=("schema.other-notation",),
    ),
    AttributeRepair(
        "task.unknown-zone",
        "{name}",
        None,
        "no zone of this task has the code in {name}",
        Standing.REVIEW,
        "Leave out defaults that name a treatment zone which the task does not have.\n\n"
        "Why it needs a look: where the machine would have fallen back to a rate, it has none now. A zone that sets "
        "zero takes the place where there is one, or can be made (see zone.no-default).",
        needs=("schema",),
    ),
    AttributeRepair(
        "zone.wrong-polygon-type",
        "PolygonType",
        "{wanted}",
        "the polygon bounds a treatment zone",
        Standing.SAFE,
        "Give the polygons of treatment zones the type of treatment zones.\n\n"
        "Why it is safe: by where it stands, the polygon is that of a zone (ISO 11783-10, D.50); its outline stays.",
        needs=("schema",),
    ),
)
"""The table, by rule."""


def repair_of(row: AttributeRepair) -> Callable[[RepairWork], None]:
    """Return the repair that a row describes."""
    return partial(_repair, row)


def _repair(row: AttributeRepair, work: RepairWork) -> None:
    found = work.found(_checks()[row.rule])
    if not found:
        return
    may_change = row.choose(work)
    for element, finding in found:
        if not may_change(element):
            continue
        name, reason = row.attribute.format_map(finding.facts), Phrase(row.reason, finding.facts)
        value = None if row.value is None else row.value.format_map(finding.facts)
        work.note(row.rule, element, element.get(name), value, reason)
        element.set(name, value)
    work.touch()


@cache
def _checks() -> dict[str, Check]:
    """Return the generator of each rule by its id."""
    return {rule.id: module.check for module in rules() for rule in module.rules}
