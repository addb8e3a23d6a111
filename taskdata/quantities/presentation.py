"""How a device or a set wants its values shown: ``(raw + offset) x scale``, rounded, with a unit of its own.

Such a presentation (of a device, D.25, or of the set, D.51) wins over the unit of the dictionary where values are
shown, and is all that is known of a manufacturer's own quantities.
"""

from __future__ import annotations

import re
from decimal import ROUND_HALF_EVEN, Decimal, localcontext

import numpy as np
from numpy.typing import NDArray

from taskdata.dataclass import dataclass
from taskdata.quantities.units import Integers
from taskdata.records import short_repr

_INTEGER = re.compile(r"[+-]?\d{1,20}")
_DECIMAL = re.compile(r"[+-]?(\d{1,40}(\.\d{0,40})?|\.\d{1,40})")
MOST_DECIMALS = 7


@short_repr
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
    def read(cls, offset: str, scale: str, decimals: str, unit: str) -> Presentation | None:
        """Return the presentation that texts of a set describe; None where they are no such numbers."""
        offset, scale, decimals, unit = (text.strip() for text in (offset, scale, decimals, unit))
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

    def values(self, raw: Integers) -> NDArray[np.float64]:
        """Return the values of raw integers in the unit of the presentation, not rounded."""
        return np.asarray((raw.astype(np.float64) + self.offset) * float(self.scale), dtype=np.float64)
