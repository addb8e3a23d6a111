"""Single faults in sound sets are found by the rules meant for them, at their place.

A run without ``TASKDATA_FUZZ`` looks at a part of them that has faults of every kind; ``python -m
tests.checks.mutations`` looks at all and prints a table.
"""

from __future__ import annotations

import pytest

from tests.checks.mutations import cannot
from tests.checks.mutations.catalogue import faults, few
from tests.checks.mutations.engine import Fault, judge
from tests.heavy import HEAVY

LOOKED_AT = faults() if HEAVY else few(12)
KINDS = sorted({fault.kind for fault in faults()})


@pytest.mark.parametrize("kind", KINDS)
def test_no_fault_is_missed_or_placed_elsewhere(kind: str) -> None:
    verdicts = [judge(fault) for fault in LOOKED_AT if fault.kind == kind]
    assert verdicts
    assert [(str(item.fault), item.news) for item in verdicts if not item.found] == []
    assert [(str(item.fault), item.news) for item in verdicts if not item.placed] == []


def test_there_are_enough_faults_and_each_is_another() -> None:
    assert len(LOOKED_AT) >= 130
    assert len({str(fault) for fault in faults()}) == len(faults()) >= 1000


@pytest.mark.parametrize(("fault", "reason"), tuple(cannot.faults()), ids=lambda item: getattr(item, "name", ""))
def test_what_is_said_to_be_beyond_an_audit_is_not_found(fault: Fault, reason: str) -> None:
    assert reason
    assert not judge(fault).news, "move it to the faults that are found"
