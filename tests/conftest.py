"""Settings of the whole test run.

Generated examples are the same in every run, so that nothing fails by chance. ``TASKDATA_FUZZ=1`` draws new ones, and
more of them.
"""

import os

from hypothesis import HealthCheck, settings

settings.register_profile(
    "steady",
    derandomize=True,
    database=None,
    deadline=None,
    max_examples=50,
    suppress_health_check=[HealthCheck.too_slow],
)
settings.register_profile("fuzz", deadline=None, max_examples=1000, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("fuzz" if os.environ.get("TASKDATA_FUZZ") else "steady")
