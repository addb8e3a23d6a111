"""What the tests of the command line share."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest

from taskdata.cli import main
from tests.fieldwork import build, file_set

SAMPLES = Path(__file__).parents[2] / "samples"


@dataclass(frozen=True)
class Result:
    """How a run of the program ended."""

    code: int
    out: str
    err: str


@pytest.fixture
def samples() -> Path:
    """The folder of sample sets."""
    return SAMPLES


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Callable[..., Result]:
    """A function that runs the program in this process."""

    def call(*words: object) -> Result:
        with pytest.raises(SystemExit) as ended:
            main([str(word) for word in words])
        caught = capsys.readouterr()
        code = ended.value.code
        return Result(code if isinstance(code, int) else 0, caught.out, caught.err)

    return call


@pytest.fixture
def harvest(tmp_path: Path) -> Path:
    """A set whose log holds a yield with its moisture and counter: three passes of 6 m and a stop."""
    header = file_set.device(2, [(1, -1, {}, []), (2, 0, {67: 6000, 134: 0, 135: 0}, [141, 84, 99, 90])])
    ways = [build.straight(80.0, 2.0, x=6.0 * number, back=number == 1) for number in range(3)]
    places = build.degrees(np.concatenate([*ways, np.repeat(ways[-1][-1:], 4, axis=0)]))
    clock = np.concatenate([np.arange(41) + 100.0 * number for number in range(3)] + [np.arange(241.0, 245.0)])
    on = np.concatenate([np.append(np.ones(40, dtype=int), 0)] * 2 + [np.ones(45, dtype=int)])
    counter = np.cumsum(on * 10) - 10
    records = [
        (second, lon, lat, {0: state, 1: 800_000, 2: 180_000, 3: kilograms})
        for second, (lon, lat), state, kilograms in zip(
            clock.tolist(), places.tolist(), on.tolist(), counter.tolist(), strict=True
        )
    ]
    channels = [(ddi, "DET201") for ddi in (141, 84, 99, 90)]
    return file_set.write(tmp_path / "TASKDATA", [header], [], channels, records)
