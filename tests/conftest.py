"""Settings of the whole test run.

Generated examples are the same in every run, so that nothing fails by chance. ``TASKDATA_FUZZ=1`` draws new ones, and
more of them; ``HYPOTHESIS_PROFILE=nightly`` 10,000 of each property. What tests write lies in memory where the system
has such a place with room, and nobody waits for a disk to have taken it: a run writes and removes tens of thousands of
small files.
"""

import gc
import os
import shutil
from pathlib import Path

from hypothesis import HealthCheck, settings

from tests.heavy import HEAVY, NIGHTLY

MEMORY, ROOM = Path("/dev/shm"), 4 << 30  # noqa: S108  # a place, not a file in it: pytest makes a folder of its own

if os.access(MEMORY, os.W_OK) and shutil.disk_usage(MEMORY).free > ROOM:
    os.environ.setdefault("PYTEST_DEBUG_TEMPROOT", str(MEMORY))
os.environ.setdefault("OGR_SQLITE_SYNCHRONOUS", "OFF")

gc.disable()  # until everything is collected, and what was then is never looked at again


def pytest_collection_finish() -> None:
    """Let the collector of garbage look at what the tests make, and at nothing that they are made of."""
    gc.freeze()
    gc.enable()


settings.register_profile(
    "steady",
    derandomize=True,
    database=None,
    deadline=None,
    max_examples=25,
    suppress_health_check=[HealthCheck.too_slow],
)
settings.register_profile("fuzz", deadline=None, max_examples=1000, suppress_health_check=[HealthCheck.too_slow])
settings.register_profile(
    "nightly", deadline=None, max_examples=NIGHTLY or 10_000, suppress_health_check=[HealthCheck.too_slow]
)
settings.load_profile("nightly" if NIGHTLY else "fuzz" if HEAVY else "steady")
