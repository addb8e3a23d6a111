"""Templates and cancelled tasks are left out, or templates become planned tasks where that is wanted."""

from __future__ import annotations

from taskdata.adapt.adaptation import Adaptation, label
from taskdata.isoxml.tree.element import Element
from taskdata.model.tasks import TaskStatus
from taskdata.phrases import phrase

_TEMPLATE, _PLANNED, _CANCELLED = (
    str(int(status)) for status in (TaskStatus.TEMPLATE, TaskStatus.PLANNED, TaskStatus.CANCELLED)
)
_FILED = ("TLG", "GRD")
_WITHOUT = {_TEMPLATE: phrase("a template"), _CANCELLED: phrase("cancelled")}


def drop_templates_and_cancelled(work: Adaptation) -> None:
    """Leave out templates and cancelled tasks with their logs and grids (R-243).

    A cancelled task is never written as planned or completed. A template becomes a planned task only where the user
    asked for that.
    """
    for task in work.tagged("TSK"):
        state = task.get("TaskStatus") or ""
        if state == _TEMPLATE and work.plan_templates:
            task.set("TaskStatus", _PLANNED)
            work.alter(task, phrase("template {task} becomes a planned task", task=label(task)), phrase("as requested"))
        elif state in _WITHOUT:
            work.drop(
                task,
                label(task),
                phrase(
                    "it is {without}, which version {target} cannot express",
                    without=_WITHOUT[state],
                    target=work.target,
                ),
            )
            work.remove(task)
            _drop_files(work, task)


def _drop_files(work: Adaptation, task: Element) -> None:
    """Take the binary files of a task that was taken out, and the headers of its logs, out of the set."""
    document = work.document
    kept = {(element.get("Filename") or "").upper() for element in work.tagged(*_FILED)}
    for element in task.walk():
        name = element.get("Filename") if element.tag in _FILED else None
        if name is None or name.upper() in kept:
            continue
        if document.others.pop(f"{name}.BIN".upper(), None) is not None:
            work.drop(task, phrase("file {name}.BIN", name=name), phrase("it belongs to the task"))
        header = document.header(name)
        document.xml_files = [file for file in document.xml_files if file is not header]
