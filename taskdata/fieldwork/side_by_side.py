"""The tools of one log that lie side by side, taken together."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from taskdata.fieldwork.tools import together
from taskdata.fieldwork.values import Flags
from taskdata.fieldwork.work import Work


def width_of(tools: Sequence[Work]) -> float:
    """Return the width that the tools of a log work together."""
    if len(tools) == 1:
        return tools[0].bar.width
    return together(span for work in tools for span in work.spans)


def at_work(tools: Sequence[Work]) -> Flags:
    """Return (m - 1,) whether a tool of a log worked on the way to the next position."""
    return np.asarray(np.any([work.working for work in tools], axis=0))
