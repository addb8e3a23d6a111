"""Where a log goes past midnight and its date stays that of the day before."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

DAY = np.timedelta64(1, "D")
LONGEST = np.timedelta64(1, "h")
"""From the last record before midnight to the first after it; a longer way back may be another fault."""

Moments = NDArray[np.datetime64]


def missing_days(time: Moments) -> NDArray[np.int64]:
    """Return how many days each record's date lacks, (records,); 0 throughout where that has more than one meaning.

    Parameters
    ----------
    time : datetime64[ms] (records,)
        As stored; NaT = not available, such records follow the one before them.

    Notes
    -----
    Times that fall from the last hour of a day to the first of the same date, less than an hour later by the clock,
    have passed midnight. From there on the same date means a day more. Where a later date then lies before a corrected
    one, it is not the date alone that is wrong.
    """
    lacking = np.zeros(time.size, dtype=np.int64)
    known = np.flatnonzero(~np.isnat(time))
    moments = time[known]
    if known.size < 2:
        return lacking
    passed = moments[:-1] - moments[1:] > DAY - LONGEST
    if not passed.any():
        return lacking
    dates = moments.astype("datetime64[D]")
    same = dates[1:] == dates[:-1]
    steps = np.concatenate([[0], np.cumsum(passed & same)])
    fresh = np.concatenate([[True], ~same])
    days = steps - steps[np.flatnonzero(fresh)[np.cumsum(fresh) - 1]]
    raised = moments + days * DAY
    if (raised[:-1] - raised[1:] > LONGEST).any():
        return lacking
    lacking[known] = days
    return _following(lacking, known)


def _following(lacking: NDArray[np.int64], known: NDArray[np.intp]) -> NDArray[np.int64]:
    """Let records without a time have what the record before them has."""
    last = np.zeros(lacking.size, dtype=np.intp)
    last[known] = known
    return np.asarray(lacking[np.maximum.accumulate(last)])
