"""Where a log goes past midnight and its date stays that of the day before."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

DAY = np.timedelta64(1, "D")
LONGEST = np.timedelta64(1, "h")
"""From the last record before midnight to the first after it; a longer way back may be another fault."""

Moments = NDArray[np.datetime64]


class Midnights:
    """How many days the dates of records lack that are shown some at a time.

    Times that fall from the last hour of a day to the first of the same date, less than an hour later by the clock,
    have passed midnight. From there on the same date means a day more. Where a later date then lies before a corrected
    one, it is not the date alone that is wrong: ``doubtful`` is set then.
    """

    def __init__(self) -> None:
        self.last = np.datetime64("NaT", "ms")
        self.days = 0
        self.doubtful = False

    def see(self, moments: Moments) -> NDArray[np.int64] | None:
        """Return how many days the dates of the next times lack, (n,), all of which are known; None = none."""
        joined = moments if np.isnat(self.last) else np.concatenate([[self.last], moments])
        skip = len(joined) - len(moments)
        back = joined[:-1] - joined[1:]
        if not self.days and not (len(back) and back.max() > LONGEST):
            self.last = joined[-1] if len(joined) else self.last
            return None
        dates = joined.astype("datetime64[D]")
        same, passed = dates[1:] == dates[:-1], back > DAY - LONGEST
        total = np.concatenate([[self.days], self.days + np.cumsum(passed & same)])
        base = np.concatenate([[0], np.where(same, 0, total[1:])])
        days = total - np.maximum.accumulate(base)
        raised = joined + days * DAY
        self.doubtful |= bool((raised[:-1] - raised[1:] > LONGEST).any())
        self.last, self.days = joined[-1], int(days[-1])
        return np.asarray(days[skip:])


def missing_days(time: Moments) -> NDArray[np.int64]:
    """Return how many days each record's date lacks, (records,); 0 throughout where that has more than one meaning.

    Parameters
    ----------
    time : datetime64[ms] (records,)
        As stored; NaT = not available, such records follow the one before them.
    """
    midnights = Midnights()
    known = ~np.isnat(time)
    days = midnights.see(time[known])
    if days is None or midnights.doubtful:
        return np.zeros(time.size, dtype=np.int64)
    return following(days, known)


def following(days: NDArray[np.int64], known: NDArray[np.bool_], before: int = 0) -> NDArray[np.int64]:
    """Return the days of all records, those without a time having what the record before them has.

    Parameters
    ----------
    days : int64 (m,)
        Of the records whose time is known.
    known : bool (n,)
        Which records these are.
    before : int
        Of the last record before these.
    """
    return np.asarray(np.concatenate([[before], days])[np.cumsum(known)])
