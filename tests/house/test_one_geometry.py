"""Shapes are made from rings in one place, so that every command has one answer to what lies where."""

from __future__ import annotations

from tests.house.modules import modules

DECODERS = {"formats/geometries/nested.py"}
"""What reads the geometry of a file as it stands, the way `shapely.from_wkb` does; faults and all."""
BUILDERS = {"polygons", "linearrings", "LinearRing", "make_valid", "build_area", "polygonize"}


def test_only_the_geometry_makes_polygons_of_rings() -> None:
    """A polygon without arguments is an empty one."""
    found = {
        module.name: name
        for module in modules()
        for name, arguments in module.shapely_calls
        if name in BUILDERS or (name == "Polygon" and arguments)
    }
    assert "geometry" in {name.partition("/")[0] for name in found}
    assert {name for name in found if not name.startswith("geometry/")} <= DECODERS, found
