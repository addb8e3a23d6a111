"""Who commands a setpoint, and who obeys."""

from __future__ import annotations

from collections.abc import Sequence

from taskdata.checks.device._devices import SETTABLE, SOURCE, Value


def is_source_and_user(values: Sequence[Value]) -> bool:
    """Tell whether one of the values is sent to others and another one is settable."""
    senders = {value for value in values if value.flags & SOURCE}
    users = {value for value in values if value.flags & SETTABLE}
    return bool(senders and users) and len(senders | users) > 1
