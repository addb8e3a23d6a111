"""How much, how far, how fast, and at which rate: figures of field work in metres, square metres and seconds."""

from __future__ import annotations

from taskdata.dataclass import dataclass
from taskdata.records import short_repr


@short_repr
@dataclass(frozen=True, slots=True)
class Figures:
    """How much, how far, how fast.

    Terms are those of ASABE EP496 and D497: theoretical capacity is that of the full width, all the time, at the speed
    of work; effective capacity is the ground worked in the field time, from the first work to the last with turns and
    stops; field efficiency is their ratio.

    Parameters
    ----------
    distance_m, idle_distance_m : float
        Way of the middle of the bar while it works, and while it does not.
    working_time_s, idle_time_s : float
        Time with a section on, and without.
    field_time_s : float
        From the first work of each log to its last.
    speed_m_s : float or None
        Mean while working, over the way that is known.
    width_m : float or None
        Working width.
    spacing_m : float or None
        Effective width: working width less overlap, or plus skip.
    theoretical_ha_h, capacity_ha_h, efficiency : float or None
        None where time or width is not known. The efficiency is a share, 1 = 100 %.
    """

    distance_m: float = 0.0
    idle_distance_m: float = 0.0
    working_time_s: float = 0.0
    idle_time_s: float = 0.0
    field_time_s: float = 0.0
    speed_m_s: float | None = None
    width_m: float | None = None
    spacing_m: float | None = None
    theoretical_ha_h: float | None = None
    capacity_ha_h: float | None = None
    efficiency: float | None = None


@short_repr
@dataclass(frozen=True, slots=True)
class RateFigures:
    """One rate, weighted by the ground it went on; physical values of the data dictionary per square metre.

    Parameters
    ----------
    ddi : int
        The actual rate.
    part : str or None
        What delivers it.
    target_ddi : int or None
        Its setpoint, where it was logged.
    unit : str
        Unit of the rate in the dictionary, such as ``mm³/m²``.
    area_m2 : float
        Ground that it went on, overlaps counted each time.
    mean, minimum, maximum : float
    target_mean : float or None
        Mean setpoint over the same ground.
    within_10_percent : float or None
        Share of that ground on which the actual rate was within 10 % of the setpoint.
    applied : float
        Product: rate times area, in mm³, mg or pieces.
    per_worked_m2 : float or None
        Product by worked area, overlaps counted once; None for a part that works on some of that ground only.
    on_double : float
        Product on ground that was worked before, at the mean rate of the places worked twice or more.
    logged_total : float or None
        Product by the machine's own total, in the same unit; None where it logged none.
    total_ddi : int or None
        Which total that is.
    """

    ddi: int
    part: str | None
    target_ddi: int | None
    unit: str
    area_m2: float
    mean: float
    minimum: float
    maximum: float
    target_mean: float | None
    within_10_percent: float | None
    applied: float
    per_worked_m2: float | None
    on_double: float
    logged_total: float | None
    total_ddi: int | None
