"""Machines with their parts, and the things and people that work takes.

Axes (ISO 11783-10, 8.7): x forward, y to the right, z down, in metres from the device reference point.
"""

from __future__ import annotations

from dataclasses import field
from enum import IntEnum

from taskdata.dataclass import dataclass
from taskdata.findings import Place
from taskdata.quantities.presentation import Presentation as Usable
from taskdata.records import short_repr


class PartKind(IntEnum):
    """Type of a device element (ISO 11783-10 D.21)."""

    DEVICE = 1
    FUNCTION = 2
    BIN = 3
    SECTION = 4
    UNIT = 5
    CONNECTOR = 6
    NAVIGATION = 7


@short_repr
@dataclass(frozen=True, slots=True)
class Presentation:
    """How raw values are shown: ``(raw + offset) x scale`` rounded to ``decimals``, in ``unit``."""

    offset: int
    scale: str
    decimals: int
    unit: str | None = None

    @property
    def usable(self) -> Usable | None:
        """The presentation as numbers to count with; None where it holds no such numbers."""
        return Usable.read(str(self.offset), self.scale, str(self.decimals), self.unit or "")


@short_repr
@dataclass(frozen=True, slots=True)
class Quantity:
    """A value that a part knows.

    Parameters
    ----------
    ddi : int
        Number in the data dictionary.
    value : int or None
        The constant raw value of a property; None for process data, which a log delivers.
    settable, default_set : bool
        Of process data: may be commanded; belongs to the default log set.
    """

    ddi: int
    name: str | None = None
    value: int | None = None
    settable: bool = False
    default_set: bool = False
    presentation: Presentation | None = None


@short_repr
@dataclass(frozen=True, eq=False)
class Part:
    """A device element (DET, D.21): root, boom, section, bin, connector or navigation reference.

    Parameters
    ----------
    id, name : str
        Identifier such as ``DET5``, and designator (or None).
    kind : PartKind
        What it is.
    number, object_id, parent : int
        Its number, that of its object, and that of the element above; 0 = the device itself.
    offset_x_m, offset_y_m, offset_z_m, width_m : float or None
        Constants of the description; None = not given, or delivered by the log.
    quantities : tuple of Quantity
        The values that it knows.
    """

    id: str
    kind: PartKind
    number: int
    object_id: int
    parent: int
    name: str | None = None
    offset_x_m: float | None = None
    offset_y_m: float | None = None
    offset_z_m: float | None = None
    width_m: float | None = None
    quantities: tuple[Quantity, ...] = ()
    key: int | None = None
    place: Place = field(default_factory=Place)

    def presentation(self, ddi: int) -> Presentation | None:
        """Return how the device wants values of a quantity shown, None where it does not say."""
        found = (item.presentation for item in self.quantities if item.ddi == ddi and item.presentation is not None)
        return next(found, None)


@short_repr
@dataclass(frozen=True, eq=False)
class Machine:
    """A device with its parts (DVC, D.19).

    Parameters
    ----------
    id, name : str
        Identifier such as ``DVC1``, and designator (or None).
    software, serial : str or None
        Version of the software, serial number.
    client_name : str or None
        The 64-bit NAME as hexadecimal text.
    structure_label, localization_label : str or None
        What tells descriptions of one device apart, as hexadecimal text.
    working_width_m : float or None
        Width of the widest part that gives one, None if none does.
    parts : tuple of Part
        In the order of the source.
    """

    id: str
    name: str | None = None
    software: str | None = None
    serial: str | None = None
    client_name: str | None = None
    structure_label: str | None = None
    localization_label: str | None = None
    working_width_m: float | None = None
    parts: tuple[Part, ...] = ()
    key: int | None = None
    place: Place = field(default_factory=Place)

    @property
    def sections(self) -> tuple[Part, ...]:
        """The sections, in the order of the source."""
        return tuple(part for part in self.parts if part.kind is PartKind.SECTION)

    @property
    def connectors(self) -> tuple[Part, ...]:
        """The places where another machine is hitched."""
        return tuple(part for part in self.parts if part.kind is PartKind.CONNECTOR)


@short_repr
@dataclass(frozen=True, slots=True)
class Component:
    """A part of a mixture: product identifier and raw amount."""

    product: str
    amount: int


@short_repr
@dataclass(frozen=True, eq=False)
class Product:
    """A seed, fertilizer, spray, crop or mixture (PDT, D.42).

    Parameters
    ----------
    id, name : str
        Identifier such as ``PDT1``, and designator.
    group : str or None
        Identifier of its product group.
    quantity_ddi : int or None
        Dictionary number of how amounts are counted: by volume, mass or number.
    mixture : bool
        Whether it is one, of ``components``.
    components : tuple of Component
        What a mixture is made of.
    """

    id: str
    name: str
    group: str | None = None
    quantity_ddi: int | None = None
    mixture: bool = False
    components: tuple[Component, ...] = ()
    key: int | None = None
    place: Place = field(default_factory=Place)


@short_repr
@dataclass(frozen=True, eq=False)
class Worker:
    """A person who works (WKR, D.52): ``id``, ``name`` and ``first_name``."""

    id: str
    name: str
    first_name: str | None = None
    key: int | None = None
    place: Place = field(default_factory=Place)


@short_repr
@dataclass(frozen=True, eq=False)
class CropVariety:
    """A variety of a crop; ``product`` is the identifier of its seed."""

    id: str
    name: str
    product: str | None = None
    key: int | None = None
    place: Place = field(default_factory=Place)


@short_repr
@dataclass(frozen=True, eq=False)
class Crop:
    """A crop that is grown (CTP, D.13): ``id``, ``name``, its ``varieties``, and as ``group`` that of its products."""

    id: str
    name: str
    group: str | None = None
    varieties: tuple[CropVariety, ...] = ()
    key: int | None = None
    place: Place = field(default_factory=Place)
