"""What workers have in common, loaded once before they are made."""

from __future__ import annotations

import gc

from taskdata import api
from taskdata.batches import running

__all__ = ["api", "running"]

api.rules()
gc.freeze()  # so that no worker looks at it, which would make a copy of its own
