"""The benchmarks measure what they say: exponents, what is stored, and that each command takes each series."""

from __future__ import annotations

import doctest
import json
from math import isnan
from pathlib import Path

import pytest

from tests.benchmarks import bench_catalogue, bench_gigabyte, bench_growth, stored


def test_exponents_are_those_of_powers() -> None:
    for power in (0.5, 1.0, 1.5, 2.0):
        found = bench_growth.exponents([3.0 * number**power for number in (100, 200, 400)])
        assert found == pytest.approx((power, power))


def test_an_exponent_of_noise_is_not_told() -> None:
    assert all(map(isnan, bench_growth.exponents([0.01, 0.03, 0.09])))
    assert all(map(isnan, bench_growth.exponents([0.0, 1.0, 2.0])))


def test_ratios_are_stored_and_units_are_not(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(stored, "STORED", tmp_path / "last.json")
    stored.beside("coverage", {"ordinary": {"all_to_ribbons": 1.5, "whole_s": 3.0}}, store=True)
    stored.beside("coverage", {"flickering": {"all_to_ribbons": 1.7}}, store=True)
    stored.beside("coverage", {"ordinary": {"all_to_ribbons": 9.0}}, store=False)
    kept = json.loads((tmp_path / "last.json").read_text(encoding="utf-8"))
    assert kept == {"coverage": {"ordinary: all_to_ribbons": 1.5, "flickering: all_to_ribbons": 1.7}}


def test_examples_hold() -> None:
    assert doctest.testmod(stored).attempted == 1
    assert doctest.testmod(stored).failed == doctest.testmod(bench_growth).failed == 0


@pytest.mark.parametrize("name", bench_growth.SERIES)
def test_each_command_takes_each_series(tmp_path: Path, name: str) -> None:
    series = bench_growth.SERIES[name]
    series.write(tmp_path / "4", 4)
    for command in series.commands:
        assert bench_growth.seconds_of(tmp_path, 4, command) > 0.0


def test_a_catalogue_is_measured_apart(capsys: pytest.CaptureFixture[str]) -> None:
    assert set(bench_catalogue.run(sizes=(1, 2, 3))) == set(bench_catalogue.KINDS)
    assert "one farm, 3" in capsys.readouterr().out


def test_a_command_runs_on_the_file_that_is_made(capsys: pytest.CaptureFixture[str]) -> None:
    found = bench_gigabyte.run("check", fields=4)
    assert found["check_to_gigabyte"] > 0.0
    told = capsys.readouterr().out.splitlines()[-1].split()
    assert told[:2] == ["check", "0"]
