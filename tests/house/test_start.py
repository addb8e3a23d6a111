"""What each start loads: a path loads no library that it has no use for."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

SAMPLES = Path(__file__).parents[2] / "samples"
PACKAGE = SAMPLES.parent / "taskdata"
HEAVY = (
    "geopandas",
    "jsonschema",
    "lxml",
    "numpy",
    "numpy.ma",
    "pandas",
    "pyarrow",
    "pynmea2",
    "pyogrio",
    "pyproj",
    "rasterio",
    "rich",
    "shapely",
    "xmlschema",
)
"""Libraries that take longer to load than a small set takes to read."""

MAY_LOAD = {
    ("--help",): set(),
    ("convert", "--help"): set(),
    ("convert", "office/TASKDATA", "never written", "--to", "isoxml", "--dry-run"): {"lxml", "numpy", "shapely"},
    ("inspect", "office/TASKDATA"): {"numpy", "shapely"},
    ("inspect", "office"): {"numpy", "shapely"},
    ("inspect", "machine/TASKDATA", "--values"): {"numpy", "shapely"},
    ("check", "office/TASKDATA"): {"lxml", "numpy", "shapely"},
    ("clean", "office/TASKDATA", "never written", "--dry-run"): {"lxml", "numpy", "shapely"},
    ("check", "season/drill"): {"lxml", "numpy", "shapely"},
    ("check", "season/drill/TASKDATA"): {"lxml", "numpy", "shapely"},
}
"""Which of them a call may load."""

RUN = """
import sys
from taskdata.cli import main
try:
    main(sys.argv[1:])
except SystemExit as ended:
    print("loaded:", ended.code, *sorted(set({heavy}) & set(sys.modules)))
"""


@pytest.mark.parametrize("call", MAY_LOAD, ids=" ".join)
def test_a_path_loads_no_library_that_it_has_no_use_for(call: tuple[str, ...]) -> None:
    words = RUN.format(heavy=HEAVY)
    done = subprocess.run([sys.executable, "-c", words, *call], capture_output=True, text=True, check=True, cwd=SAMPLES)
    _, code, *loaded = done.stdout.splitlines()[-1].split()
    assert code in {"0", "1"}
    assert set(loaded) <= MAY_LOAD[call]


def test_importing_the_package_and_its_functions_loads_none_of_them() -> None:
    words = f"import sys, taskdata, taskdata.api; print(*sorted(set({HEAVY}) & set(sys.modules)))"
    done = subprocess.run([sys.executable, "-c", words], capture_output=True, text=True, check=True)
    assert done.stdout.split() == []


@pytest.mark.parametrize("module", ["coverage", "ratemap"])
def test_rasters_and_frames_are_loaded_where_there_are_some(module: str) -> None:
    words = f"import sys, taskdata.cli.{module}; from taskdata.api import {module}; print(*sys.modules)"
    done = subprocess.run([sys.executable, "-c", words], capture_output=True, text=True, check=True)
    assert not {"rasterio", "pandas", "geopandas"} & set(done.stdout.split())


def test_the_list_of_commands_loads_none_of_them() -> None:
    words = "import sys; from taskdata.cli import main\ntry:\n    main(['--help'])\nfinally:\n    print(*sys.modules)"
    done = subprocess.run([sys.executable, "-c", words], capture_output=True, text=True, check=True)
    loaded = {name for name in done.stdout.splitlines()[-1].split() if name.startswith("taskdata.cli.")}
    assert {name for name in loaded if not name.startswith("taskdata.cli._")} == set()
    line = r"^  check +Check data sets against the standard and a receiving terminal\.$"
    assert re.search(line, done.stdout, re.MULTILINE)


def test_dataclasses_are_those_that_load_quickly() -> None:
    theirs = re.compile(r"^from dataclasses import .*\bdataclass\b|^@dataclasses\.dataclass\b", re.MULTILINE)
    slow = {str(path) for path in PACKAGE.rglob("*.py") if theirs.search(path.read_text(encoding="utf-8"))}
    assert slow == set(), "write: from taskdata.dataclass import dataclass"
