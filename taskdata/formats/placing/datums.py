"""What changes of datum were made on the way to WGS 84, and what they leave open.

The caveat of epoch: datums such as ETRS89, NAD83 and GDA2020 are fixed to a plate, so that a fence keeps its
coordinates; WGS 84 is not, and the ground moves in it by centimetres a year. What moves how fast is a fact table, each
row with what it rests on.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from taskdata.geometry.transform import IDENTITY, Transformation
from taskdata.resources import table
from taskdata.results.reading import Datum

_TARGET = "EPSG:4326"
_WGS84 = "World Geodetic System 1984"
_FAR_M = 4.0
"""Up to this stated accuracy the movement of plates matters beside it."""


def datum_of(conversion: Transformation) -> Datum:
    """Return what was done to the coordinates of a layer; layers are named by ``systems_met``."""
    return Datum(
        layers=(),
        source=conversion.source_name if conversion.operation != IDENTITY else "WGS 84",
        target=_TARGET,
        operation=conversion.operation,
        accuracy_m=conversion.accuracy_m,
        note=_note(conversion),
        moved=conversion.operation != IDENTITY,
        better_missing=conversion.better_missing,
    )


def assumed() -> Datum:
    """Return what is known of a layer that states no system, and whose coordinates are taken as WGS 84."""
    note = "No system is stated; the coordinates look like degrees and were taken as WGS 84 unchanged."
    return Datum((), "WGS 84", _TARGET, IDENTITY, None, note, moved=False)


def systems_met(changes: Mapping[str, Datum]) -> tuple[Datum, ...]:
    """Return the changes of layers by name, one for each system and operation, in the order in which they were met."""
    layers: dict[Datum, list[str]] = {}
    for name, change in changes.items():
        layers.setdefault(change, []).append(name)
    return tuple(replace(change, layers=tuple(names)) for change, names in layers.items())


def family(datum: str) -> str | None:
    """Return the common name of a datum that is fixed to a plate, such as ETRS89; None of any other."""
    row = _row(datum)
    return None if row is None else row["family"]


def rank(datum: str) -> int:
    """Return how likely a datum is meant if several fit: 0 for WGS 84, then those fixed to plates, then any."""
    if datum.startswith(_WGS84):
        return 0
    rows = table("ground_frames")
    return rows.index(row) + 1 if (row := _row(datum)) is not None else len(rows) + 1


def _row(datum: str) -> dict[str, str] | None:
    name = datum.casefold()
    return next((row for row in table("ground_frames") if name.startswith(row["datum"].casefold())), None)


def _note(conversion: Transformation) -> str | None:
    """Return what the operation leaves open: a null shift, the movement of a plate, an epoch that is not stated."""
    if conversion.is_dynamic:
        return _moving(conversion)
    row = _row(conversion.datum)
    known = conversion.accuracy_m is not None and conversion.accuracy_m <= _FAR_M
    if row is None:
        return _unchanged(conversion.source_name, "", "") if conversion.null_shift and known else None
    shift = _unchanged(row["family"], row["apart"], row["epoch"]) if conversion.null_shift else ""
    return f"{shift} {_fixed(row)}".strip()


def _unchanged(name: str, apart: str, epoch: str) -> str:
    """Return that two datums were treated as the same, and how far apart they are where that is known."""
    gap = f": they lie {apart} apart, which is not corrected" if apart else ""
    agreed = f"; they agreed at {epoch}" if epoch and not apart else ""
    return f"{name} and WGS 84 were treated as the same (null shift){gap}{agreed}."


def _fixed(row: Mapping[str, str]) -> str:
    return (
        f"{row['family']} is fixed to the {row['plate']}, and WGS 84 is not: the ground moves in it by about "
        f"{row['cm_a_year']} cm a year, so coordinates of both differ by more each year. The epoch is not stated, and "
        "no movement was corrected."
    )


def _moving(conversion: Transformation) -> str:
    """Return the caveat of a datum that is not fixed to the ground."""
    unnamed = conversion.datum == f"{_WGS84} ensemble"
    what, name = ("realization and epoch of WGS 84 are", "it") if unnamed else ("epoch is", conversion.source_name)
    return f"The {what} not stated: the ground moves in {name} by up to 2.5 cm a year in Europe, 7 cm in Australia."
