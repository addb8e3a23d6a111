"""Shapes are made from rings in one place, so that every command has one answer to what lies where."""

from __future__ import annotations

import ast
from pathlib import Path

PACKAGE = Path(__file__).parents[2] / "taskdata"
DECODERS = {"formats/geometries/nested.py"}
"""What reads the geometry of a file as it stands, the way `shapely.from_wkb` does; faults and all."""
BUILDERS = {"polygons", "linearrings", "LinearRing", "make_valid", "build_area", "polygonize"}


def made_of_rings(node: ast.Call) -> str | None:
    """The name of a shapely function that makes a polygon of rings, None for any other call or an empty polygon."""
    if not isinstance(node.func, ast.Attribute) or not isinstance(node.func.value, ast.Name):
        return None
    if node.func.value.id != "shapely":
        return None
    name = node.func.attr
    return name if name in BUILDERS or (name == "Polygon" and node.args) else None


def test_only_the_geometry_makes_polygons_of_rings() -> None:
    found = [
        (str(path.relative_to(PACKAGE)), name)
        for path in sorted(PACKAGE.rglob("*.py"))
        if path.relative_to(PACKAGE).parts[0] != "geometry" and path.relative_to(PACKAGE).as_posix() not in DECODERS
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Call) and (name := made_of_rings(node)) is not None
    ]
    assert found == []
