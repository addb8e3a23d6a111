"""Write the XML schemas from the fact tables: ``python -m taskdata.isoxml.schema.generate FOLDER``.

Each schema is one file without includes, so that it loads the same way from a folder and out of a package.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path
from xml.sax.saxutils import escape

from taskdata.isoxml.facts import AttributeFact, ChildFact, elements
from taskdata.isoxml.schema import layout, types
from taskdata.isoxml.schema.layout import OTHER, Kind, Version

TITLES: dict[Kind, str] = {
    "task": "Main file of task data (TASKDATA.XML)",
    "external": "External file of task data",
    "header": "Header of a binary time log",
    "linklist": "Link list (LINKLIST.XML)",
}
LIMITS = """\
Written from tables of facts on ISO 11783-10. The text of the standard decides, not this file.
Children may be in any order. Elements and attributes of other namespaces are ignored. Proprietary names of the form
P, manufacturer code, underscore (clause 8.4.1) cannot be expressed in XML Schema 1.0: remove them before validation.
Identifiers are xs:ID within this file. References are names with a pattern and not xs:IDREF, since what they name may
be in another file of the set; that it exists, once in the set, is left to rules. URIs are texts, since programs
differ in what they accept as one.
Left to rules as well: counts that depend on values or on the version within one type of parent (one polygon in a
treatment zone before version 4, one technique in a task, children of one type in an external file, one position in a
time log header), values that depend on others (an attribute is empty only where a binary file holds its values; which
attributes a type of pattern needs), zones of stamps before version 4, withdrawn values, and what files hold together.
VersionMinor is not fixed: a reader accepts an unknown one and warns."""

HEAD = """\
<?xml version="1.0" encoding="UTF-8"?>
<xs:schema xmlns:xs="http://www.w3.org/2001/XMLSchema" elementFormDefault="unqualified">"""

OTHERS = """\
  <xs:group name="other">
    <xs:choice>
      <xs:any namespace="##other" processContents="skip"/>
    </xs:choice>
  </xs:group>
  <xs:attributeGroup name="other">
    <xs:anyAttribute namespace="##other" processContents="skip"/>
  </xs:attributeGroup>"""


def schema_text(kind: Kind, version: Version) -> str:
    """Return the schema of a kind of file in a version, as text of an XML file."""
    major = version[0]
    root = layout.ROOTS[kind]
    title = f"{TITLES[kind]}, ISO 11783-10, version {version[0]}.{version[1]}."
    parts = [
        HEAD,
        f"  <xs:annotation>\n    <xs:documentation>{escape(title)}\n{escape(LIMITS)}</xs:documentation>",
        "  </xs:annotation>",
        f'  <xs:element name="{root}" type="{root}"/>',
    ]
    for tag in layout.tags(kind, major):
        parts += _element(tag, kind, major)
    parts.append(OTHERS)
    parts += ["  " + line for lines in _simple_types(kind, major).values() for line in lines]
    return "\n".join([*parts, "</xs:schema>", ""])


def schemas() -> dict[str, str]:
    """Return the text of every schema by its file name."""
    return {
        layout.file_name(kind, version): schema_text(kind, version)
        for version in layout.VERSIONS
        for kind, root in layout.ROOTS.items()
        if elements()[root].holds(version[0])
    }


def main(arguments: Sequence[str]) -> int:
    """Write every schema into the folder that is the one argument."""
    if len(arguments) != 1:
        sys.stderr.write("usage: python -m taskdata.isoxml.schema.generate FOLDER\n")
        return 2
    folder = Path(arguments[0])
    folder.mkdir(parents=True, exist_ok=True)
    for name, text in schemas().items():
        (folder / name).write_text(text, encoding="utf-8", newline="\n")
    return 0


def _simple_types(kind: Kind, major: int) -> dict[str, tuple[str, ...]]:
    found: dict[str, tuple[str, ...]] = {}
    for tag in layout.tags(kind, major):
        for fact in layout.attributes(tag, major):
            found.update(types.simple_type(fact, kind, major))
    return dict(sorted(found.items()))


def _element(tag: str, kind: Kind, major: int) -> list[str]:
    inside = layout.children(tag, major)
    if not layout.nests_in_itself(tag):
        return _complex_type(tag, tag, inside, kind, major)
    inner = [child for child in inside if child.tag != tag]
    outer = _complex_type(tag, tag, inside, kind, major)
    return outer + _complex_type(tag, inner_type(tag), inner, kind, major)


def inner_type(tag: str) -> str:
    """Return the name of the type of an element inside one of its own kind."""
    return f"{tag}-inner"


def _complex_type(tag: str, name: str, inside: Sequence[ChildFact], kind: Kind, major: int) -> list[str]:
    lines = [
        f'  <xs:complexType name="{name}">',
        f"    <xs:annotation><xs:documentation>{elements()[tag].name}</xs:documentation></xs:annotation>",
        *("    " + line for line in _content(tag, inside)),
    ]
    for fact in layout.attributes(tag, major):
        lines += _attribute(fact, kind, major)
    return [*lines, f'    <xs:attributeGroup ref="{OTHER}"/>', "  </xs:complexType>"]


def _attribute(fact: AttributeFact, kind: Kind, major: int) -> list[str]:
    *_, type_name = types.simple_type(fact, kind, major)
    use = ' use="required"' if fact.required else ""
    words = fact.name + (f", {fact.unit}" if fact.unit else "")
    note = f"<xs:annotation><xs:documentation>{escape(words)}</xs:documentation></xs:annotation>"
    return [
        f'    <xs:attribute name="{fact.letter}" type="{type_name}"{use}>',
        f"      {note}",
        "    </xs:attribute>",
    ]


def _content(tag: str, inside: Sequence[ChildFact]) -> list[str]:
    """Return the content model: any order, with the count of the one child whose number is limited.

    XML Schema 1.0 can count one child among others in any order: others, the child, others, and so on. No element of
    the standard has two such children.
    """
    counted = [child for child in inside if child.least or child.most is not None]
    if len(counted) > 1:
        raise ValueError(f"{tag} limits the number of more than one child, which XML Schema 1.0 cannot express")
    free = [child.tag for child in inside if child not in counted]
    if not counted:
        return _any_of(tag, free)
    child = counted[0]
    if child.most is None:
        one = [_reference(tag, child.tag)]
        return [
            "<xs:sequence>",
            *_indent([*_any_of(tag, free), *one, *_any_of(tag, [*free, child.tag])]),
            "</xs:sequence>",
        ]
    return _at_most(tag, child, free, child.most, child.least)


def _at_most(tag: str, child: ChildFact, free: Sequence[str], most: int, least: int) -> list[str]:
    """Return others, then up to ``most`` times the child and others again, of which ``least`` times must be."""
    if not most:
        return _any_of(tag, free)
    optional = "" if least else ' minOccurs="0"'
    rest = [_reference(tag, child.tag), *_at_most(tag, child, free, most - 1, max(least - 1, 0))]
    follow = [f"<xs:sequence{optional}>", *_indent(rest), "</xs:sequence>"]
    return ["<xs:sequence>", *_indent([*_any_of(tag, free), *follow]), "</xs:sequence>"]


def _any_of(tag: str, names: Sequence[str]) -> list[str]:
    inside = [*(_reference(tag, name) for name in names), f'<xs:group ref="{OTHER}"/>']
    return ['<xs:choice minOccurs="0" maxOccurs="unbounded">', *_indent(inside), "</xs:choice>"]


def _reference(parent: str, tag: str) -> str:
    return f'<xs:element name="{tag}" type="{inner_type(tag) if parent == tag else tag}"/>'


def _indent(lines: Sequence[str]) -> list[str]:
    return ["  " + line for line in lines]


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
