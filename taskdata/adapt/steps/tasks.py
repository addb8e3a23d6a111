"""Templates and cancelled tasks are left out."""

from __future__ import annotations

from taskdata.adapt.work import Work, label
from taskdata.isoxml.element import Element
from taskdata.model.tasks import TaskStatus

_WITHOUT = {str(int(TaskStatus.TEMPLATE)): "a template", str(int(TaskStatus.CANCELLED)): "cancelled"}


def drop_templates_and_cancelled(work: Work) -> None:
    """Leave out templates and cancelled tasks with their logs and grids (R-243).

    A cancelled task is never written as planned or completed, and a template never as a task to be done.
    """
    for task in work.tagged("TSK"):
        state = task.get("TaskStatus") or ""
        if state in _WITHOUT:
            work.drop(task, label(task), f"it is {_WITHOUT[state]}, which version {work.target} cannot say")
            _drop_files(work, task)
            work.remove(task)


def _drop_files(work: Work, task: Element) -> None:
    """Take the binary files of a task, and the headers of its logs, out of the set."""
    document = work.document
    for element in task.walk():
        name = element.get("Filename") if element.tag in {"TLG", "GRD"} else None
        if name is not None:
            work.drop(task, f"file {name}.BIN", "it belongs to the task")
            document.others.pop(f"{name}.BIN".upper(), None)
            header = document.header(name)
            document.xml_files = [file for file in document.xml_files if file is not header]
