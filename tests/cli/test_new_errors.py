"""The exit code where what was written has an error that its source did not have."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.exchange.layers import repeated_code, type_into


@pytest.mark.parametrize("command", ["convert", "merge", "clean"])
def test_the_exit_code_is_that_of_a_check(run: Callable, tmp_path: Path, command: str) -> None:
    layers = repeated_code(tmp_path)
    told = run(command, layers, tmp_path / "s", "--to", "isoxml", "--json")
    assert told.code == 1
    assert [item["rule"] for item in json.loads(told.out)["new_errors"]] == ["zone.repeated-code"]
    text = run(command, layers, tmp_path / "t", "--to", "isoxml")
    assert text.code == 1
    assert "A check of the result finds 1 error that the source did not have:" in text.out
    assert "ERROR  zone.repeated-code  TASKDATA.XML:" in text.out
    type_into(layers, "treatment_zones", 1, code=7, name="Neu")
    assert run(command, layers, tmp_path / "u", "--to", "isoxml").code == 0
