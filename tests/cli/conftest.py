"""What the tests of the command line share."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

from taskdata.cli import main

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
