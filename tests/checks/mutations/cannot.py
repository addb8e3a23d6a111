"""Faults that no audit of one set can find, each with the reason; a test holds that they are indeed not found."""

from __future__ import annotations

from collections.abc import Iterator

from tests.checks.mutations.engine import Fault, Node, attribute, in_tree


def faults() -> Iterator[tuple[Fault, str]]:
    """Yield fault and reason."""
    yield (
        attribute("cannot", "office", "coding", ("//GPN[@A='GPN1']", "L"), None),
        "an optional reference left out: nothing else says with which base station a line was made",
    )
    yield (
        attribute("cannot", "office", "device", ("//DVC[1]", "F"), "01020304050600"),
        "another structure label: any seven octets are one",
    )
    yield (
        attribute("cannot", "office", "device", ("//DVC[2]/DPT[@B='00CD']", "C"), "-250"),
        "another time to switch on: the data dictionary allows any, negative ones too",
    )
    yield (
        attribute("cannot", "office", "task", ("//TSK[@A='TSK4']", "E"), "PFD4"),
        "another field of the same farm: only the user knows which one is meant",
    )
    yield (
        in_tree("cannot", "guidance line 0.5 m north", "office", "guidance", _shifted),
        ("a line moved by half a metre: it is as good a line as before; comparing with the set sent finds it"),
    )


def _shifted(root: Node) -> Iterator[Node]:
    for point in root.xpath("//GPN[@A='GPN1']/LSG/PNT"):
        point.set("C", f"{float(point.get('C')) + 4.5e-6:.9f}")
        yield point
