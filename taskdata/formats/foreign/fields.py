"""Fields out of polygons, and out of closed lines that go round as much as fields do."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from taskdata.formats.foreign.features import Feature
from taskdata.formats.foreign.owners import Owners
from taskdata.formats.geometries import shapes
from taskdata.formats.layers.several import rearranged
from taskdata.formats.layers.wording import id_prefix
from taskdata.geometry.rings import is_closed
from taskdata.model.fields import Field
from taskdata.model.shapes import Area, AreaKind


def with_fields(fields: Sequence[Field], features: Sequence[Feature], owners: Owners) -> list[Field]:
    """Return fields, and one for each row; the pieces of a row are the boundary.

    A row without a name is called by its layer and its number among the rows of all layers.

    Parameters
    ----------
    fields : sequence of Field
        Those that are there.
    features : sequence of Feature
        Polygons, or lines that `closed` tells.
    owners : Owners
        Gets the customers, farms and crops that the rows name.
    """
    made = []
    for number, feature in enumerate(features, 1):
        owned = owners.of(feature)
        made.append(
            Field(
                id=f"{id_prefix('PFD')}{number + len(fields)}",
                name=feature.name or f"{feature.table} {number}",
                boundaries=_boundaries(feature.geometry),
                customer=owned.customer,
                farm=owned.farm,
                crop=owned.crop,
                variety=owned.variety,
            )
        )
    return [*fields, *made]


def closed(geometry: Any) -> bool:
    """Tell whether every line of a geometry ends where it begins and has three places at least."""
    return all(len(line) >= 4 and is_closed(line) for line in shapes.lines(geometry))


def _boundaries(geometry: Any) -> tuple[Area, ...]:
    if shapes.is_polygonal(geometry):
        return rearranged((), geometry, AreaKind.BOUNDARY)
    return tuple(Area(AreaKind.BOUNDARY, (line,)) for line in shapes.lines(geometry))
