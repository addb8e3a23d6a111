"""What to call a coordinate reference system in a list."""

from __future__ import annotations

from functools import lru_cache

from pyproj import CRS
from pyproj.exceptions import CRSError

_SHOWN = 60


@lru_cache(maxsize=64)
def short_name(crs: str) -> str:
    """Return the code of a system such as ``EPSG:25832``, else its name; of a text that is none its beginning."""
    try:
        found = CRS.from_user_input(crs)
        authority = found.to_authority()
    except CRSError:
        return crs[:_SHOWN]
    return ":".join(authority) if authority is not None else found.name
