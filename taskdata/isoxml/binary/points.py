"""Binary point files of ISO 11783-10 (8.6.4, version 4): many points of one kind, coordinates in 1e-16 degrees.

An attribute of the describing PNT written empty is a field of every record, one with a value is common to all.
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from types import MappingProxyType
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from taskdata.dataclass import dataclass
from taskdata.errors import UsageError
from taskdata.findings import Finding, Place
from taskdata.isoxml.binary.flat_bytes import Data, octets_of
from taskdata.isoxml.facts import BinaryField, binary_fields, elements
from taskdata.isoxml.files.blob import Blob
from taskdata.raised_rules.points.cut_record import RULE as CUT_RECORD


@dataclass(frozen=True, slots=True)
class PointLayout:
    """What each record of a point file holds.

    Parameters
    ----------
    fields : tuple of BinaryField
        Stored fields in file order.
    constants : mapping
        Names of the other attributes to the text that is common to all points.
    """

    fields: tuple[BinaryField, ...]
    constants: Mapping[str, str]

    @classmethod
    def of(cls, attributes: Mapping[str, str]) -> PointLayout:
        """Return the layout that the attributes (letter to text) of the PNT naming the file describe."""
        facts = elements()["PNT"].attributes
        fields = tuple(field for field in binary_fields("PNT") if attributes.get(_letter(field)) == "")
        common = {facts[key].name: text for key, text in attributes.items() if text and key in facts}
        return cls(fields, MappingProxyType(common))

    @property
    def dtype(self) -> np.dtype[np.void]:
        """Packed little-endian type of a record."""
        return np.dtype([(field.name, field.dtype) for field in self.fields])

    def field(self, name: str) -> BinaryField:
        """Return the stored field ``name``.

        Raises
        ------
        KeyError
            Records do not store such a field.
        """
        for item in self.fields:
            if item.name == name:
                return item
        raise KeyError(name)


@dataclass(frozen=True, eq=False)
class PointRecords:
    """The points of a file.

    Parameters
    ----------
    layout : PointLayout
        What a record holds.
    rows : structured array (points,)
        Raw integers as stored; coordinates are exact int64 in 1e-16 degrees.
    trailing : bytes
        What follows the last whole record.
    findings : tuple of Finding
        What is wrong with the file.
    """

    layout: PointLayout
    rows: NDArray[np.void]
    trailing: bytes = b""
    findings: tuple[Finding, ...] = ()

    def __len__(self) -> int:
        return self.rows.size

    @classmethod
    def build(cls, layout: PointLayout, columns: Mapping[str, ArrayLike]) -> PointRecords:
        """Return points from raw integer columns (points,), one for every stored field.

        Raises
        ------
        UsageError
            A column is missing, of another length, or does not fit its field.
        """
        arrays = {field.name: np.asarray(columns.get(field.name, ())) for field in layout.fields}
        if not arrays or len({array.size for array in arrays.values()}) != 1:
            raise UsageError("the columns of a point file must be those of its layout, all of one length")
        rows = np.zeros(next(iter(arrays.values())).size, dtype=layout.dtype)
        for field in layout.fields:
            array, limits = arrays[field.name], np.iinfo(field.dtype)
            fits = array.dtype.kind in "iu" and array.min() >= limits.min and array.max() <= limits.max
            if array.size and not fits:
                raise UsageError(f"{field.name} of a point file takes integers from {limits.min} to {limits.max}")
            rows[field.name] = array
        return cls(layout, rows)

    def column(self, name: str) -> NDArray[Any]:
        """Return the raw integers of a stored field, (points,), a view.

        Raises
        ------
        KeyError
            Records do not store such a field.
        """
        return np.asarray(self.rows[self.layout.field(name).name])

    def missing(self, name: str) -> NDArray[np.bool_]:
        """Return where a stored field is marked not available, (points,) bool.

        The largest int64 (922 degrees) counts as not available too, as common practice on the machine's network.
        """
        field = self.layout.field(name)
        raw = self.column(name)
        absent = raw == field.missing
        if field.dtype == "<i8":
            absent |= raw == np.iinfo(np.int64).max
        return np.asarray(absent)

    def longitude(self) -> NDArray[np.float64]:
        """Return WGS 84 longitude in degrees, (points,); NaN = not available or not stored."""
        return self._degrees("PointEast")

    def latitude(self) -> NDArray[np.float64]:
        """Return WGS 84 latitude in degrees, (points,); NaN = not available or not stored."""
        return self._degrees("PointNorth")

    def decimal_texts(self, name: str) -> list[str | None]:
        """Return a stored field as it is written in XML, exact and canonical; None = not available.

        Coordinates in degrees with up to 16 decimals, accuracies in metres (stored in millimetres), the rest as
        integers; no trailing zeros.

        Raises
        ------
        KeyError
            Records do not store such a field.
        """
        scale = _xml_scale(self.layout.field(name))
        absent = self.missing(name).tolist()
        texts = (_text(number, scale) for number in self.column(name).tolist())
        return [None if none else text for none, text in zip(absent, texts, strict=True)]

    def _degrees(self, name: str) -> NDArray[np.float64]:
        """Return degrees rounded to the nearest float64: about 1e-14 degrees (1 nm) off the stored integer at most."""
        try:
            field = self.layout.field(name)
        except KeyError:
            return np.full(len(self), np.nan)
        degrees = self.column(name) / float(1 / Decimal(field.scale))
        degrees[self.missing(name)] = np.nan
        return np.asarray(degrees, dtype=np.float64)


def decode(data: Data, layout: PointLayout, *, file: str | None = None) -> PointRecords:
    """Return the points that ``data`` holds; damaged data never raise, the rest of them is ``trailing``.

    Parameters
    ----------
    data : bytes-like or array of bytes, numpy.memmap included
        The whole binary file.
    layout : PointLayout
        From the point that names the file.
    file : str, optional
        Name of the file, for findings.
    """
    octets = octets_of(data).tobytes()
    length = layout.dtype.itemsize
    records = len(octets) // length if length else 0
    end = records * length
    rows: NDArray[np.void] = np.frombuffer(octets[:end], layout.dtype) if records else np.zeros(0, layout.dtype)
    findings: tuple[Finding, ...] = ()
    if end != len(octets):
        place = Place(file=file, record=records, offset=end)
        findings = (CUT_RECORD.at(place, octets=len(octets), length=length, records=records),)
    return PointRecords(layout, rows, octets[end:], findings)


def read_points(blob: Blob | None, attributes: Mapping[str, str]) -> PointRecords | None:
    """Return the points that a file holds, None where it is missing or cannot be read.

    Parameters
    ----------
    blob : Blob or None
        The binary file, where it is there.
    attributes : mapping
        Those of the point that names it, letter to text.
    """
    content = None if blob is None else blob.content()
    if blob is None or content is None:
        return None
    found = decode(content, PointLayout.of(attributes), file=blob.name)
    blob.remember(("PNT", found.layout.fields), found.findings)
    return found


def point_faults(blob: Blob, attributes: Mapping[str, str]) -> tuple[Finding, ...]:
    """Return what is wrong with a binary point file that can be read; one read before is not read again."""
    key = ("PNT", PointLayout.of(attributes).fields)
    if blob.known(key) is None:
        read_points(blob, attributes)
    found: tuple[Finding, ...] | None = blob.known(key)
    return found or ()


def encode(points: PointRecords) -> bytes:
    """Return the binary file of ``points``, its trailing bytes included."""
    return points.rows.tobytes() + points.trailing


def _letter(field: BinaryField) -> str:
    return (field.source or "").partition(".")[2]


def _xml_scale(field: BinaryField) -> Decimal:
    """Return what one raw step is in the unit of the XML attribute."""
    fact = elements()["PNT"].attributes[_letter(field)]
    scale = Decimal(field.scale)
    return scale / 1000 if (field.unit, fact.unit) == ("mm", "m") else scale


def _text(number: int, scale: Decimal) -> str:
    text = f"{number * scale:f}"
    return (text.rstrip("0").rstrip(".") if "." in text else text) or "0"
