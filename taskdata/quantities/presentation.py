"""How a device or a set wants its values shown: ``(raw + offset) x scale``, rounded, with a unit of its own.

Such a presentation (of a device, D.25, or of the set, D.51) wins over the unit of the dictionary.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import ROUND_HALF_EVEN, Decimal, localcontext
from typing import Any, Literal, overload

import numpy as np
from numpy.typing import NDArray

from taskdata.isoxml.facts import elements
from taskdata.model.machines import Presentation as Described
from taskdata.quantities.units import Floats, Integers, System, convert

_INTEGER = re.compile(r"[+-]?\d{1,20}")
_DECIMAL = re.compile(r"[+-]?(\d{1,40}(\.\d{0,40})?|\.\d{1,40})")
MOST_DECIMALS = 7
_NAMES = ("Offset", "Scale", "NumberOfDecimals", "UnitDesignator")


@dataclass(frozen=True, slots=True)
class Presentation:
    """A value presentation.

    Parameters
    ----------
    offset : int
        Added to the raw integer first.
    scale : Decimal
        Factor after that.
    decimals : int
        Digits after the decimal point to show, 0 to 7.
    unit : str
        Designator to show, empty = none.
    """

    offset: int
    scale: Decimal
    decimals: int
    unit: str

    @classmethod
    def of_record(cls, record: Described) -> Presentation | None:
        """Return the presentation that a record describes; None where it holds no such numbers."""
        described = {
            "Offset": str(record.offset),
            "Scale": record.scale,
            "NumberOfDecimals": str(record.decimals),
            "UnitDesignator": record.unit or "",
        }
        return cls._read(described)

    @classmethod
    def of(cls, tag: Literal["DVP", "VPN"], attributes: Mapping[str, str]) -> Presentation | None:
        """Return the presentation of a device (DVP) or set (VPN) from its attributes, letter to text.

        None where offset, scale or number of decimals is missing or no number; checks of the document report that.
        """
        letters = elements()[tag].letters
        return cls._read({name: attributes.get(letters[name], "") for name in _NAMES})

    @property
    def record(self) -> Described:
        """The same as a record of the model."""
        return Described(self.offset, str(self.scale), self.decimals, self.unit or None)

    @classmethod
    def _read(cls, described: Mapping[str, str]) -> Presentation | None:
        offset, scale, decimals, unit = (described[name].strip() for name in _NAMES)
        if not (_INTEGER.fullmatch(offset) and _DECIMAL.fullmatch(scale) and re.fullmatch("[0-9]{1,2}", decimals)):
            return None
        if int(decimals) > MOST_DECIMALS:
            return None
        return cls(int(offset), Decimal(scale), int(decimals), unit)

    def text(self, raw: int) -> str:
        """Return the number to show for a raw integer, exactly rounded (half to even), without the unit."""
        with localcontext() as context:
            context.prec = 100
            number = (raw + self.offset) * self.scale
            shown = number.quantize(Decimal(1).scaleb(-self.decimals), rounding=ROUND_HALF_EVEN)
            return f"{abs(shown) if shown == 0 else shown:f}"

    @overload
    def value(self, raw: int) -> float: ...
    @overload
    def value(self, raw: Integers) -> NDArray[np.float64]: ...
    def value(self, raw: int | Integers) -> float | NDArray[np.float64]:
        """Return the value to show: exactly rounded for an int; for arrays, rounded in float64.

        The two can differ in the last digit shown where a value lies in the middle between two.
        """
        if isinstance(raw, np.ndarray):
            numbers = (raw.astype(np.float64) + self.offset) * float(self.scale)
            return np.asarray(np.round(numbers, self.decimals), dtype=np.float64)
        return float(self.text(raw))


def show(
    raw: int | NDArray[Any], ddi: int, system: System, presentation: Presentation | None = None
) -> tuple[float | Integers | Floats, str | None]:
    """Return values to show and their unit: by the presentation where there is one, else by the dictionary.

    Parameters
    ----------
    raw : int or array of integers
        As stored.
    ddi : int
        What they measure.
    system : "metric" or "us"
        Units to choose where the dictionary decides; a presentation has its own.
    presentation : Presentation, optional
        Of the device or the set.
    """
    if presentation is not None:
        return presentation.value(raw), presentation.unit
    return convert(raw, ddi, system)
