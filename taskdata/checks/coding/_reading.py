"""Tolerant reading of what an element says; other rules report texts that are no numbers or lead nowhere."""

from __future__ import annotations

import re

from taskdata.checks.subject import Subject
from taskdata.isoxml.facts import elements
from taskdata.isoxml.tree.element import Element

_INTEGER = re.compile(r"[+-]?[0-9]{1,19}")


def integer(element: Element, name: str) -> int | None:
    """Return the attribute with the standard's ``name`` as integer, None where it is absent or none."""
    text = (element.get(name) or "").strip()
    return int(text) if _INTEGER.fullmatch(text) else None


def referred(subject: Subject, element: Element, name: str) -> Element | None:
    """Return the element that the reference ``name`` of ``element`` leads to.

    None where the reference is absent or leads nowhere or to an element of another type.
    """
    wanted = elements()[element.tag].attributes[elements()[element.tag].letters[name]].refers_to
    found = subject.ids.get(element.get(name) or "", [])
    return next((item for item in found if item.tag == wanted), None)


def spoken(element: Element) -> str:
    """Return what to call an element in a message: its identifier, else its tag."""
    return element.id or element.tag
