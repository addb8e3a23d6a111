"""What the words about a shift are made from."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Protocol

from taskdata.fieldwork.drift.set_drift import Drift
from taskdata.reports.convert_json import Conversion


class Shifted(Protocol):
    """What a shift did, or would do."""

    @property
    def east_m(self) -> float:
        """Metres that things moved to the east."""
        ...

    @property
    def north_m(self) -> float:
        """Metres that things moved to the north."""
        ...

    @property
    def moved(self) -> Mapping[str, int]:
        """How many things of each kind moved."""
        ...

    @property
    def drift(self) -> Drift | None:
        """The estimate, where there was one."""
        ...

    @property
    def written(self) -> Conversion:
        """What the target holds, and the ledger."""
        ...
