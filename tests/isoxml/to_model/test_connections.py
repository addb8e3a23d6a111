"""What a task joins, and which practice it is."""

from __future__ import annotations

from taskdata import read
from taskdata.model.tasks import Connection
from tests import samples


def test_a_task_knows_its_connections_and_its_practice() -> None:
    tasks = {task.id: task for task in read(samples.MACHINE).tasks}
    assert tasks["TSK1"].connections == (Connection("DVC1", "DET103", "DVC2", "DET202"),)
    assert tasks["TSK5"].connections == ()
    assert [tasks[name].practice for name in ("TSK1", "TSK-1", "TSK3")] == ["CPC1", "CPC1", "CPC2"]
