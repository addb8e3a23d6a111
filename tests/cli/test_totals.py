"""Several sources in one run: totals at the end, and what is said once is said once."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from taskdata.cli import HELP
from taskdata.reports import check_text, convert_text, coverage_text, inspect_text, passes
from tests.samples import SAMPLES

README = (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")
SETS = ("office", "older", "machine")


def flat(text: str) -> str:
    """Text with its lines joined, so that a sentence can be found."""
    return " ".join(text.split())


def test_a_check_of_several_sources_ends_in_totals(run: Callable, samples: Path) -> None:
    sources = [samples / name for name in (*SETS, "broken")]
    alone = [json.loads(run("check", source, "--format", "json").out)["summary"] for source in sources]
    document = json.loads(run("check", *sources, samples / "nowhere", "--format", "json").out)
    sums = {name: sum(item[name] for item in alone) for name in ("error", "warning", "note")}
    assert document["totals"] == {"sources": 5, "unreadable": 1, **sums}
    result = run("check", *sources, samples / "nowhere")
    assert result.code == 3
    counts = ", ".join(f"{count} {name}{'s' * (count != 1)}" for name, count in sums.items() if count)
    assert f"Total 5 sources, 1 of which could not be read: {counts}." in flat(result.out)


def test_sources_without_findings_are_counted(run: Callable, samples: Path) -> None:
    result = run("check", samples / "office", samples / "broken", "--select", "reference")
    assert "Nothing was found in 1 of them." in flat(result.out)
    assert "2 sources: nothing found." in flat(run("check", *[samples / "office"] * 2, "--select", "reference").out)


def test_an_inspection_of_several_sources_ends_in_totals(run: Callable, samples: Path) -> None:
    sources = [samples / name for name in SETS]
    alone = [json.loads(run("inspect", source, "--json").out) for source in sources]
    result = run("inspect", *sources, samples / "nowhere", "--json")
    document = json.loads(result.out)
    assert result.code == 3
    assert "nowhere: does not exist" in result.err
    assert document["sources"][:3] == alone
    assert document["sources"][3] == {
        "source": str(samples / "nowhere"),
        "error": f"{samples / 'nowhere'}: does not exist. Check the path",
    }
    totals = document["totals"]
    logs = [log["records"] for item in alone for task in item["tasks"] for log in task["logs"]]
    assert (totals["sources"], totals["unreadable"], totals["unread"]) == (4, 1, 0)
    assert [totals[name] for name in ("fields", "guidance", "machines", "tasks")] == [
        sum(len(item[name]) for item in alone) for name in ("fields", "guidance", "machines", "tasks")
    ]
    assert (totals["logs"], totals["log_records"]) == (len(logs), sum(logs))
    assert totals["area_m2"] == pytest.approx(sum(field["area_m2"] for item in alone for field in item["fields"]))


def test_totals_of_an_inspection_in_words(run: Callable, samples: Path) -> None:
    found = flat(run("inspect", samples / "office", samples / "office", "--units", "us").out)
    alone = json.loads(run("inspect", samples / "office", "--json").out)
    acres = 2.0 * sum(field["area_m2"] for field in alone["fields"]) / 4046.8564224
    assert f"Total 2 sources: {2 * len(alone['fields'])} fields ({acres:.2f} ac)" in found
    assert "What stands in several sources counts in each." in found


@pytest.mark.parametrize(("command", "caution"), [("check", check_text.CAUTION), ("inspect", inspect_text.CAUTION)])
def test_the_caution_stands_once_a_run(run: Callable, samples: Path, command: str, caution: str) -> None:
    for sources in ([samples / "office"], [samples / name for name in SETS]):
        assert flat(run(command, *sources).out).count(caution) == 1


@pytest.mark.parametrize(
    ("words", "caution"),
    [
        (("passes", SAMPLES / "office", "--width", 24), passes.CAUTION),
        (("coverage", SAMPLES / "machine", "--task", "TSK1"), coverage_text.CAUTION),
    ],
    ids=["passes", "coverage"],
)
def test_what_is_written_of_a_result_has_no_second_caution(
    run: Callable, tmp_path: Path, words: tuple[object, ...], caution: str
) -> None:
    told = flat(run(*words, "--output", tmp_path / "result.geojson").out)
    assert "Written:" in told
    assert (told.count(caution), told.count(convert_text.CAUTION)) == (1, 0)


def test_a_terminal_is_described_from_one_source(run: Callable, samples: Path, tmp_path: Path) -> None:
    profile = tmp_path / "cab.toml"
    result = run("inspect", samples / "machine", samples / "machine", "--make-receiver", profile)
    assert (result.code, result.out) == (2, "")
    assert not profile.exists()


def test_help_and_readme_tell_the_exit_codes(run: Callable) -> None:
    told = [line.strip().partition("  ")[0] for line in HELP.split("Exit codes:")[1].splitlines()]
    codes = [code for code in told if code[:1].isdigit()]
    assert codes == ["0", "1", "2", "3", "4", "130, 143, 129"]
    assert flat(HELP.split("Exit codes:")[1]) in flat(run("--help").out)
    assert all(f"\n| {code} | " in README for code in codes)
