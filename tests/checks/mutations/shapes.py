"""Faults in geometry: rings opened, crossed, moved, cut; coordinates swapped, at 0/0, out of range, without sign."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from tests.checks.mutations.engine import MAIN, Fault, Node, in_tree

RINGS = (
    ("office", "PFD1", MAIN),
    ("office", "PFD2", MAIN),
    ("machine", "PFD1", MAIN),
    ("machine", "PFD-1", MAIN),
    ("older", "PFD4711", MAIN),
    ("older", "PFD4713", MAIN),
    ("office", "PFD3", "PFD00001.XML"),
)
Move = Callable[[list[Node]], None]


def faults() -> Iterator[Fault]:
    """Yield the faults."""
    for source, field, file in RINGS:
        path = f"//PFD[@A='{field}']/PLN[@A='1']/LSG[@A='1']"
        if source != "older":
            yield _ring("ring opened", (source, file, path), "geometry.open-ring", _opened)
        yield _ring("ring crossed", (source, file, path), "geometry.self-crossing", _crossed)
        yield _ring("ring of two points", (source, file, path), "geometry.too-few-points geometry.open-ring", _cut)
        yield _ring("ring with swapped coordinates", (source, file, path), "geometry", _swapped)
        yield _ring("ring with a point at 0/0", (source, file, path), "geometry", _at_zero)
        yield _ring("ring with a lost sign", (source, file, path), "geometry", _southern)
        yield _ring("ring with a stray point", (source, file, path), "geometry", _strayed)
        yield _ring("ring with a point off the globe", (source, file, path), "geometry.off-earth", _off)
    for name, north in (("moved outside", 0.05), ("moved across the edge", 0.0014)):
        path = "//PFD[@A='PFD2']/PLN[@A='1']/LSG[@A='2']"
        yield _ring(f"hole {name}", ("office", MAIN, path), "geometry", _shifted(north))
        yield _ring(f"hole {name}", ("machine", MAIN, path), "geometry", _shifted(north))
    for source in ("office", "machine"):
        for pattern in ("GPN1", "GPN2", "GPN3", "GPN4", "GPN5"):
            path = f"//GPN[@A='{pattern}']/LSG"
            file = "PFD00001.XML" if source == "office" and pattern in {"GPN4", "GPN5"} else MAIN
            yield _ring("guidance line without A", (source, file, path), "guidance schema", _without_a)
            yield _ring("guidance line of a wrong type", (source, file, path), "guidance.wrong-line-type", _retyped)
        yield _ring("polygon with two outer rings", (source, MAIN, "//PLN[LSG/@A='2']/LSG[@A='2']"), "geometry", _outer)
        yield _ring(
            "flag without a comment", (source, MAIN, "//PFD/PNT[@A='1']"), "geometry.flag-without-comment", _mute
        )


def _ring(kind: str, where: tuple[str, str, str], expected: str, move: Move) -> Fault:
    """Return a fault in the points of a ring or line (set, file, XPath), or in the element itself if it has none."""
    source, file, path = where

    def change(root: Node) -> Iterator[Node]:
        ring = root.xpath(path)[0]
        points = ring.findall("PNT")
        move(points or [ring])
        yield ring
        yield ring.getparent()
        yield from ring.findall("PNT")

    return in_tree(kind, path, source, expected, change, file=file)


def _opened(points: list[Node]) -> None:
    points[-1].getparent().remove(points[-1])


def _crossed(points: list[Node]) -> None:
    first, second = points[1], points[2]
    for letter in "CD":
        one, other = first.get(letter), second.get(letter)
        first.set(letter, other)
        second.set(letter, one)


def _cut(points: list[Node]) -> None:
    for point in points[2:]:
        point.getparent().remove(point)


def _swapped(points: list[Node]) -> None:
    for point in points:
        north, east = point.get("C"), point.get("D")
        point.set("C", east)
        point.set("D", north)


def _at_zero(points: list[Node]) -> None:
    points[1].set("C", "0.000000000")
    points[1].set("D", "0.000000000")


def _southern(points: list[Node]) -> None:
    for point in points:
        point.set("C", f"-{point.get('C')}")


def _strayed(points: list[Node]) -> None:
    points[1].set("C", f"{float(points[1].get('C')) + 2:.9f}")


def _off(points: list[Node]) -> None:
    points[1].set("C", "95.000000000")


def _shifted(north: float) -> Move:
    def move(points: list[Node]) -> None:
        for point in points:
            point.set("C", f"{float(point.get('C')) + north:.9f}")

    return move


def _without_a(points: list[Node]) -> None:
    points[0].getparent().remove(points[0])


def _retyped(points: list[Node]) -> None:
    points[0].getparent().set("A", "6")


def _outer(points: list[Node]) -> None:
    points[0].getparent().set("A", "1")


def _mute(points: list[Node]) -> None:
    del points[0].attrib["B"]
