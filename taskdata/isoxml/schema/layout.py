"""Which elements, children and values a kind of file holds in a version of the standard.

Everything here is read from the fact tables; the schemas and the explanations of a failed validation share it.
"""

from __future__ import annotations

from functools import cache
from typing import Final, Literal

from taskdata.isoxml.facts import (
    EXTERNAL_ROOT,
    LINK_LIST_ROOT,
    ROOT,
    AttributeFact,
    ChildFact,
    binary_fields,
    elements,
)
from taskdata.versions import facts_version, revisions

Kind = Literal["task", "external", "header", "linklist"]
Version = tuple[int, int]

VERSIONS: Final[tuple[Version, ...]] = revisions()
OTHER: Final = "other"
"""Name of the groups that stand for proprietary content in a schema."""
NEWEST: Final[Version] = VERSIONS[-1]
ROOTS: Final[dict[Kind, str]] = {"task": ROOT, "external": EXTERNAL_ROOT, "header": "TIM", "linklist": LINK_LIST_ROOT}
FILES: Final[dict[Kind, str]] = {
    "task": "TASKDATA",
    "external": "EXTERNAL",
    "header": "TIMELOG",
    "linklist": "LINKLIST",
}


def file_name(kind: Kind, version: Version) -> str:
    """Return the name of the schema file, such as ``TASKDATA-4.3.xsd``."""
    return f"{FILES[kind]}-{version[0]}.{version[1]}.xsd"


def schema_version(kind: Kind, version: Version | None) -> Version:
    """Return the version of the schema to check a file with.

    Versions 0 and 1 (drafts of the first edition) go with version 2, an unknown minor version with the highest known
    of its major version, an unknown or unreadable major version with the newest, and so does a link list that a
    version does not know.
    """
    if version is None or version[0] < 0:
        return NEWEST
    major = facts_version(version[0])
    minors = [minor for known, minor in VERSIONS if known == major]
    if not minors or not elements()[ROOTS[kind]].holds(major):
        return NEWEST
    return major, (version[1] if version[1] in minors else minors[-1])


@cache
def tags(kind: Kind, major: int) -> tuple[str, ...]:
    """Return the tags that a kind of file may hold in a version: the root first, the others in alphabetical order."""
    root = ROOTS[kind]
    found, waiting = {root}, [root]
    while waiting:
        new = {child.tag for child in children(waiting.pop(), major)} - found
        found |= new
        waiting.extend(new)
    return (root, *sorted(found - {root}))


@cache
def children(tag: str, major: int) -> tuple[ChildFact, ...]:
    """Return the children that an element may have in a version."""
    facts = elements()
    return tuple(child for child in facts[tag].children if facts[child.tag].holds(major))


@cache
def child(parent: str, tag: str, major: int) -> ChildFact | None:
    """Return how often ``tag`` may stand in ``parent`` in a version; None = it may not."""
    return next((child for child in children(parent, major) if child.tag == tag), None)


def attributes(tag: str, major: int) -> tuple[AttributeFact, ...]:
    """Return the attributes that an element may have in a version."""
    return tuple(fact for fact in elements()[tag].attributes.values() if fact.holds(major))


def nests_in_itself(tag: str) -> bool:
    """Say whether an element may hold elements of its own type; they nest one level deep."""
    return any(child.tag == tag for child in elements()[tag].children)


def may_be_empty(fact: AttributeFact, kind: Kind, major: int) -> bool:
    """Say whether an attribute may be written empty because its value stands in a binary file.

    In a time log header these are the fields of a time log record, elsewhere (from version 4) those of a point file.
    """
    if kind == "header":
        return f"{fact.element}.{fact.letter}" in _sources("TLG", major)
    return f"{fact.element}.{fact.letter}" in _sources("PNT", major)


def codes(fact: AttributeFact, major: int) -> tuple[int, ...]:
    """Return the values of an enumeration that a version allows, in rising order.

    A withdrawn value stays allowed: the standard asks not to use it any more, which is a rule, not a type. The version
    number itself is fixed, where version 2 speaks for the drafts before it too.
    """
    values = [value for value in fact.values if value.holds(major)]
    if fact.name == "VersionMajor":
        values = [value for value in values if facts_version(value.low) == major]
    return tuple(sorted(code for value in values for code in range(value.low, value.high + 1)))


def is_bit_set(fact: AttributeFact) -> bool:
    """Say whether the values of an attribute are bits that add up."""
    return fact.note.startswith("bit set")


def upper_limit(fact: AttributeFact, major: int) -> str | None:
    """Return the greatest value of a number; for a bit set the sum of the bits that the version knows."""
    if is_bit_set(fact):
        return str(sum(codes(fact, major)))
    return fact.maximum


@cache
def _sources(file: str, major: int) -> frozenset[str]:
    return frozenset(field.source for field in binary_fields(file, major) if field.source)
