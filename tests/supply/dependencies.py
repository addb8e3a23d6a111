"""The packages that the program needs, whatever these need in turn, and under which licence each is.

``python -m tests.supply.dependencies schemas/dependencies.md`` writes the list anew from what is installed.
"""

from __future__ import annotations

import re
import sys
import tomllib
from collections.abc import Iterator
from importlib import metadata
from pathlib import Path

from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

ROOT = Path(__file__).parents[2]
FOR_DEVELOPERS = {"test", "fuzz"}
"""Extras of which users need nothing."""
_PERMISSIVE = ("0BSD", "Apache-2.0", "BSD-2-Clause", "BSD-3-Clause", "BSL-1.0", "CC0-1.0", "HPND", "ISC", "MIT")
COMPATIBLE = frozenset((*_PERMISSIVE, "MPL-2.0", "PSF-2.0", "Unlicense", "Zlib"))
"""Licences of packages that a program under Apache-2.0 may need: permissive ones, and one that binds its own files."""
SPELLINGS = {
    "mit": "MIT",
    "mit license": "MIT",
    "bsd": "BSD-3-Clause",
    "bsd license": "BSD-3-Clause",
    "new bsd": "BSD-3-Clause",
    "isc license (iscl)": "ISC",
    "apache software license": "Apache-2.0",
    "mozilla public license 2.0 (mpl 2.0)": "MPL-2.0",
    "python software foundation license": "PSF-2.0",
    "(same as leaflet)": "BSD-2-Clause",  # the licence file of Leaflet, from memory
}
"""What older metadata says instead of an identifier of SPDX; ``BSD`` alone was looked up in the files themselves."""
HEAD = """# What the program needs

Packages that `pip` installs with it or with one of its extras, and their licences as their metadata state them. Wheels
of shapely, pyogrio, pyproj and rasterio carry compiled libraries as files of their own, with their licences beside
them: GEOS (LGPL-2.1), GDAL and PROJ (MIT) and what these use. This list is written by
`python -m tests.supply.dependencies schemas/dependencies.md`.

| package | licence | needed by |
| --- | --- | --- |
"""


def direct() -> list[Requirement]:
    """Return what the program itself asks for, with the extras for users."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    extras = [lines for name, lines in project["optional-dependencies"].items() if name not in FOR_DEVELOPERS]
    return [Requirement(line) for lines in (project["dependencies"], *extras) for line in lines]


def needed() -> dict[str, set[str]]:
    """Return the packages that are needed and installed, and what needs each; ``taskdata`` counts as one that needs."""
    installed = {canonicalize_name(item.name) for item in metadata.distributions()}
    found: dict[str, set[str]] = {}
    waiting = [("taskdata", item) for item in direct()]
    while waiting:
        by, requirement = waiting.pop()
        name = canonicalize_name(requirement.name)
        if name not in installed:  # of an extra
            continue
        new = name not in found
        found.setdefault(name, set()).add(by)
        if new:
            waiting += [(name, item) for item in _requirements(name, requirement.extras)]
    return found


def _requirements(name: str, extras: set[str]) -> Iterator[Requirement]:
    for line in metadata.requires(name) or ():
        item = Requirement(line)
        if item.marker is None or any(item.marker.evaluate({"extra": extra}) for extra in ("", *extras)):
            yield item


def licence(name: str) -> str:
    """Return the licence of an installed package as an SPDX expression; as it is stated where it is not known."""
    stated = metadata.metadata(name)
    if stated.get("License-Expression"):
        return stated["License-Expression"]
    classified = [line.rpartition(" :: ")[2] for line in stated.get_all("Classifier") or () if line[:7] == "License"]
    said = [(stated.get("License") or "").partition("\n")[0].strip(), *classified]
    known = (SPELLINGS.get(text.lower(), text) for text in said if text)
    return next((text for text in known if text in COMPATIBLE), said[0] or "unknown")


def is_compatible(expression: str) -> bool:
    """Return whether one of the choices of an expression is made of compatible licences alone."""
    choices = re.sub(r"[()]", " ", expression).split(" OR ")
    return any({part.strip() for part in choice.split(" AND ")} <= COMPATIBLE for choice in choices)


def page() -> str:
    """Return the list as a page."""
    rows = (f"| {name} | {licence(name)} | {', '.join(sorted(by))} |\n" for name, by in sorted(needed().items()))
    return HEAD + "".join(rows)


if __name__ == "__main__":
    Path(sys.argv[1]).write_text(page(), encoding="utf-8")
