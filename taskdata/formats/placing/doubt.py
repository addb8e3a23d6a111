"""Why it is doubted that a layer is in the system that it states, or in WGS 84 where it states none."""

from __future__ import annotations

from taskdata.dataclass import dataclass
from taskdata.results.survey import CrsGuess


@dataclass(frozen=True, slots=True)
class Doubt:
    """A doubt about where a layer lies.

    Parameters
    ----------
    why : str
        What is wrong, as the end of a sentence.
    guess : CrsGuess or None
        The system that it most likely is in.
    is_sure : bool
        Whether it is this layer that is wrong; False where it may as well be the other one.
    is_told : bool
        Whether bringing the layer to WGS 84 tells the same.
    """

    why: str
    guess: CrsGuess | None
    is_sure: bool = True
    is_told: bool = False
