"""Fields on the same ground: one finding for all of them, against trying each with each."""

from __future__ import annotations

from pathlib import Path

import numpy as np

import taskdata
from taskdata.api import check


def written(folder: Path, corners: list[tuple[float, float]], size: float = 0.001) -> Path:
    """Write square fields of so many degrees with their south-western corners in (north, east)."""
    fields = []
    for number, (north, east) in enumerate(corners, 1):
        ring = [(north, east), (north, east + size), (north + size, east + size), (north + size, east), (north, east)]
        points = "".join(f'<PNT A="2" C="{a:.9f}" D="{b:.9f}"/>' for a, b in ring)
        fields.append(f'<PFD A="PFD{number}" C="Feld {number}" D="0"><PLN A="1"><LSG A="1">{points}</LSG></PLN></PFD>')
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "TASKDATA.XML").write_text(
        '<?xml version="1.0" encoding="UTF-8"?><ISO11783_TaskData VersionMajor="4" VersionMinor="3" '
        'ManagementSoftwareManufacturer="Hof" ManagementSoftwareVersion="1" DataTransferOrigin="1">'
        f"{''.join(fields)}</ISO11783_TaskData>",
        encoding="utf-8",
    )
    return folder


def test_a_heap_of_fields_is_one_finding_that_names_some_and_counts_the_rest(tmp_path: Path) -> None:
    heap = written(tmp_path, [(54.0 + 1e-8 * number, 7.0) for number in range(200)])
    (finding,) = check(heap, select="field.same-ground").findings
    assert finding.place.element == "PFD2"
    named = ", ".join(f"PFD{number}" for number in range(3, 13))
    assert finding.message.endswith(f", and so do {named} and 188 fields more.")
    assert check(heap, select="field.overlapping").findings == ()


def test_each_field_is_compared_with_the_first_that_shares_its_ground(tmp_path: Path) -> None:
    random = np.random.default_rng(3)
    corners = [(54.0 + a, 7.0 + b) for a, b in random.uniform(0.0, 1e-4, (60, 2)).tolist()]
    firsts: dict[int, list[int]] = {}
    for number, (north, east) in enumerate(corners):
        for first, others in firsts.items():
            up, right = (1.0 - abs(a - b) / 0.001 for a, b in zip(corners[first], (north, east), strict=True))
            common = max(up, 0.0) * max(right, 0.0)
            if common / (2.0 - common) >= 0.95:
                others.append(number)
                break
        else:
            firsts[number] = []
    expected = {f"PFD{first + 1}": f"PFD{others[0] + 1}" for first, others in firsts.items() if others}
    found = check(written(tmp_path, corners), select="field.same-ground", max_per_rule=0).findings
    assert {finding.facts["other"]: finding.place.element for finding in found} == expected
    assert len(expected) == len(found) > 3


def test_cleaning_makes_one_field_of_a_heap_and_leads_tasks_over(tmp_path: Path) -> None:
    heap = written(tmp_path / "heap", [(54.0 + 1e-8 * number, 7.0) for number in range(30)])
    main = heap / "TASKDATA.XML"
    text = main.read_text(encoding="utf-8")
    tasks = "".join(f'<TSK A="TSK{number}" E="PFD{number}" G="1"/>' for number in range(1, 31))
    main.write_text(text.replace("</ISO11783_TaskData>", f"{tasks}</ISO11783_TaskData>"), encoding="utf-8")
    taskdata.clean(heap, tmp_path / "clean", review=True, only="field.same-ground")
    data = taskdata.read(tmp_path / "clean")
    assert [field.id for field in data.fields] == ["PFD1"]
    assert {task.field for task in data.tasks} == {"PFD1"}
    assert len(data.tasks) == 30
