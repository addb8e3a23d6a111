"""An old stick with a bit of everything: fields without their .prj, a track, places in an archive, and a note."""

from __future__ import annotations

import zipfile
from pathlib import Path

from _display import outer
from _fields import BROAD, BROOK, NARROW
from _place import degrees
from _shapefile import POLYGON, Column, write_layer

_KML = (
    '<?xml version="1.0" encoding="UTF-8"?>\n<kml xmlns="http://www.opengis.net/kml/2.2"><Document><Placemark>'
    "<name>Spur am Bach</name><LineString><coordinates>{}</coordinates></LineString></Placemark></Document></kml>\n"
)
_DAY = (2019, 3, 1, 8, 0, 0)


def make_mixed(folder: Path) -> None:
    """Write the stick."""
    (folder / "export").mkdir(parents=True)
    stems = {kind: folder / "export" / f"felder.{kind}" for kind in ("shp", "shx", "dbf")}
    columns = [Column("SCHLAG", "C", 30), Column("KULTUR", "C", 20)]
    rows = [
        {"SCHLAG": "Große Breite", "KULTUR": "Winterweizen"},
        {"SCHLAG": "Links vom Bach", "KULTUR": "Ackerbohne"},
    ]
    write_layer(stems, POLYGON, [[outer(BROAD)], [outer(BROOK)]], columns, rows)
    line = " ".join(f"{lon:.8f},{lat:.8f}" for lat, lon in (degrees(*place) for place in BROOK[:2]))
    (folder / "spur.kml").write_text(_KML.format(line), encoding="utf-8", newline="\n")
    places = [("Steinhaufen", *degrees(*NARROW[0])), ("Tor", *degrees(*BROAD[0]))]
    table = "Name;Breite;Länge\r\n" + "".join(f"{name};{lat:.7f};{lon:.7f}\r\n" for name, lat, lon in places)
    with zipfile.ZipFile(folder / "alt.zip", "w") as archive:
        member = zipfile.ZipInfo("2019/orte.csv", _DAY)
        archive.writestr(member, table.replace(".", ",").encode("windows-1252"))
    (folder / "Notiz.txt").write_text("Spur noch einmal abfahren.\n", encoding="utf-8", newline="\n")
