"""Faults in single attributes, from the fact tables: removed, not listed, out of range, no number, too long, no id."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from taskdata.isoxml.facts import AttributeFact, elements
from tests.checks.mutations.engine import MAIN, SETS, Fault, attribute, tree

FILES = {"office": (MAIN, "PFD00001.XML", "PDT00001.XML", "LINKLIST.XML"), "machine": (MAIN,), "older": (MAIN,)}
NUMBERS = ("Byte", "Short", "Int", "Long", "decimal", "double", "integer")
OTHER_KIND = {"PDT": "FRM", "FRM": "PDT"}


def faults() -> Iterator[Fault]:
    """Yield every fault of each attribute, once, in the first set that has it."""
    seen: set[tuple[str, str]] = set()
    for source, file, tag in _tags():
        for fact in elements()[tag].attributes.values():
            path = f"(//{tag}[@{fact.letter} != ''])[1]" if len(fact.letter) == 1 else f"/{tag}"
            usable = tree(source, file).xpath(path) and tree(source, file).xpath(path)[0].get(fact.letter) is not None
            if usable and (tag, fact.letter) not in seen:
                seen.add((tag, fact.letter))
                for kind, expected, value in _wrong(fact):
                    yield attribute(kind, source, expected, (path, fact.letter), value, file=file)


def _tags() -> Iterator[tuple[str, str, str]]:
    for source in SETS:
        for file in FILES[source]:
            for tag in sorted({str(item.tag) for item in tree(source, file).iter()} & set(elements())):
                yield source, file, tag


def _wrong(fact: AttributeFact) -> Iterator[tuple[str, str, str | None]]:
    """Yield kind, rules that must find it, and the wrong value."""
    if fact.required:
        yield "attribute removed", "schema.missing-attribute version.unknown", None
    if fact.values and fact.type == "xs:NMTOKEN":
        yield "attribute not listed", "schema.invalid-value version.unknown", "97"
    if any(word in fact.type for word in NUMBERS):
        yield "attribute no number", "schema.invalid-value", "12,5 m"
        if fact.maximum is not None:
            yield "attribute out of range", "schema.invalid-value", str(Decimal(fact.maximum) + 1)
    if fact.type == "xs:dateTime":
        yield "attribute no date", "schema.invalid-value", "18.04.2024 07:12"
    if fact.type == "xs:hexBinary":
        yield "attribute not hexadecimal", "schema.invalid-value", "XYZ"
    if fact.max_length is not None and fact.type in {"xs:string", "xs:token"}:
        yield "attribute too long", "schema.invalid-value", "x" * (fact.max_length + 1)
    if fact.type in {"xs:ID", "xs:IDREF"} and fact.element not in {"XFR", "TLG", "GRD", "AFE"}:
        yield "identifier malformed", "schema.invalid-value", "no. 1"
    if fact.type == "xs:IDREF" and fact.refers_to not in {None, "*"}:
        yield "reference broken", "reference.dangling linklist.dangling", f"{fact.refers_to}4242"
        yield "reference mistyped", "reference.wrong-type", "CTP1" if fact.refers_to != "CTP" else "CTR1"
