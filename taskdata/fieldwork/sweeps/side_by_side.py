"""The tools of one log that lie side by side, taken together."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from taskdata.fieldwork.logs.logged_values import Flags
from taskdata.fieldwork.machine.working_tools import together
from taskdata.fieldwork.sweeps.log_work import LogWork


def width_of(tools: Sequence[LogWork]) -> float:
    """Return the width that the tools of a log work together."""
    if len(tools) == 1:
        return tools[0].bar.width
    return together(span for work in tools for span in work.spans)


def at_work(tools: Sequence[LogWork]) -> Flags:
    """Return (m - 1,) whether a tool of a log worked on the way to the next position."""
    return np.asarray(np.any([work.working for work in tools], axis=0))
