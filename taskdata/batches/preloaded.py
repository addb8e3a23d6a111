"""What workers have in common, loaded once before they are made."""

from __future__ import annotations

import gc

from taskdata.api import reading, sets
from taskdata.batches import running
from taskdata.batches.commands import refuse_options

__all__ = ["reading", "running", "sets"]

refuse_options("check", {})  # which loads every rule
gc.freeze()  # so that no worker looks at it, which would make a copy of its own
