"""What is loaded at every start: libraries that few commands need are loaded by those alone."""

from __future__ import annotations

import subprocess
import sys

import pytest

SELDOM = ("rasterio", "pandas", "geopandas")


@pytest.mark.parametrize("module", ["taskdata.api", "taskdata.cli.coverage", "taskdata.cli.ratemap"])
def test_libraries_that_few_commands_need_are_not_loaded_at_the_start(module: str) -> None:
    words = f"import sys, {module}; print(*sorted(set({SELDOM}) & set(sys.modules)))"
    done = subprocess.run([sys.executable, "-c", words], capture_output=True, text=True, check=True)
    assert done.stdout.split() == []
