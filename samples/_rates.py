"""Maps of rates from the office: polygons for spraying Große Breite, and a table of points for liming Ostzipfel."""

from __future__ import annotations

import json
import math
from pathlib import Path

from _fields import TIP
from _place import Metres, Ring, degrees, inside

ZONES: dict[str, tuple[float, list[Metres]]] = {
    "Senke": (240.0, [(-20.0, -10.0), (150.0, -10.0), (120.0, 330.0), (-20.0, 330.0)]),
    "Mitte": (200.0, [(150.0, -10.0), (300.0, -10.0), (330.0, 330.0), (120.0, 330.0)]),
    "Kuppe": (150.0, [(300.0, -10.0), (440.0, -10.0), (440.0, 330.0), (330.0, 330.0)]),
}
"""Names, litres per hectare and outlines, drawn over the edge of the field."""

STEP = 15.0


def make_rates(folder: Path) -> None:
    """Write both maps."""
    folder.mkdir(parents=True)
    features = [_feature(name, rate, ring) for name, (rate, ring) in ZONES.items()]
    text = json.dumps({"type": "FeatureCollection", "features": features}, ensure_ascii=False, indent=1)
    (folder / "spraying.geojson").write_text(f"{text}\n", encoding="utf-8", newline="\n")
    rows = ["Breite;Länge;Kalk (t/ha)"]
    for row in range(19):
        for column in range(8):
            place = (298.0 + STEP * column, 25.0 + STEP * row)
            if inside(place, TIP):
                lat, lon = (f"{value:.7f}".replace(".", ",") for value in degrees(*place))
                rate = 2.0 + 0.5 * round(2.0 + 2.0 * math.sin(place[0] / 40.0) * math.cos(place[1] / 60.0))
                rows.append(f"{lat};{lon};{rate:.1f}".replace(".", ","))
    (folder / "lime.csv").write_bytes("".join(f"{row}\r\n" for row in rows).encode("windows-1252"))


def _feature(name: str, rate: float, ring: Ring) -> dict[str, object]:
    places = [degrees(*place) for place in (*ring, ring[0])]
    outline = [[round(lon, 9), round(lat, 9)] for lat, lon in places]
    geometry = {"type": "Polygon", "coordinates": [outline]}
    return {"type": "Feature", "properties": {"name": name, "l_ha": rate}, "geometry": geometry}
