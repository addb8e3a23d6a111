"""Load the packed schemas for validation, widened by the proprietary names of one file.

XML Schema 1.0 cannot say "names that begin with P, digits and an underscore", so the names that do occur in a file
are added to the places that the packed schema keeps for other content. The content of proprietary elements and the
values of proprietary attributes are thereby passed over, as the standard asks.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache
from typing import Final

from lxml import etree

from taskdata.isoxml.schema import layout
from taskdata.isoxml.schema.layout import OTHER, Kind, Version
from taskdata.resources import schema_bytes

XS: Final = "{http://www.w3.org/2001/XMLSchema}"
BATCH: Final = "batch"
VERSION_NAME: Final = "VersionMajor"


@lru_cache(maxsize=16)
def whole(kind: Kind, version: Version, names: frozenset[str], any_major: bool) -> etree.XMLSchema:
    """Return the schema that decides whether a file is valid.

    Parameters
    ----------
    kind, version
        What the packed schema is for.
    names : frozenset of str
        Proprietary names to pass over.
    any_major : bool
        Accept whatever stands in VersionMajor, because another rule reports it.
    """
    return etree.XMLSchema(_widened(kind, version, names, any_major))


@lru_cache(maxsize=16)
def attributes_only(kind: Kind, version: Version, names: frozenset[str], any_major: bool) -> etree.XMLSchema:
    """Return a schema for a flat list of elements inside ``batch`` that looks at their attributes alone.

    The types of attributes are those of ``whole``, but identifiers may repeat: elements of one file come in many
    batches, so repeated identifiers are found elsewhere.
    """
    schema = _widened(kind, version, names, any_major)
    for restriction in schema.iter(f"{XS}restriction"):
        if restriction.get("base") == "xs:ID":
            restriction.set("base", "xs:NCName")
    for root in schema.findall(f"{XS}element"):
        schema.remove(root)
    for complex_type in schema.findall(f"{XS}complexType"):
        _open_content(complex_type)
    for tag in layout.tags(kind, version[0]):
        etree.SubElement(schema, f"{XS}element", name=tag, type=tag)
    batch = etree.SubElement(schema, f"{XS}element", name=BATCH)
    _open_content(etree.SubElement(batch, f"{XS}complexType"))
    return etree.XMLSchema(schema)


def _widened(kind: Kind, version: Version, names: Iterable[str], any_major: bool) -> etree._Element:
    schema = etree.fromstring(schema_bytes(layout.file_name(kind, version)))
    elements = schema.find(f"{XS}group[@name='{OTHER}']/{XS}choice")
    attributes = schema.find(f"{XS}attributeGroup[@name='{OTHER}']")
    if elements is None or attributes is None:
        raise ValueError(f"{layout.file_name(kind, version)} has no place for proprietary names")
    for name in sorted(names):
        etree.SubElement(elements, f"{XS}element", name=name, type="xs:anyType")
        attribute = etree.Element(f"{XS}attribute", name=name, type="xs:anySimpleType")
        attributes.insert(0, attribute)
    if any_major:
        for attribute in schema.iterfind(f"{XS}complexType/{XS}attribute[@name='{VERSION_NAME}']"):
            attribute.set("type", "xs:anySimpleType")
            attribute.set("use", "optional")
    return schema


def _open_content(complex_type: etree._Element) -> None:
    """Let a type hold any text and children; those with a known tag are validated, the others passed over."""
    for child in list(complex_type):
        if child.tag in {f"{XS}choice", f"{XS}sequence", f"{XS}annotation"}:
            complex_type.remove(child)
    content = etree.Element(f"{XS}sequence")
    etree.SubElement(content, f"{XS}any", minOccurs="0", maxOccurs="unbounded", processContents="lax")
    complex_type.insert(0, content)
    complex_type.set("mixed", "true")
