"""How many things of each kind a set holds."""

from __future__ import annotations

from taskdata.model.dataset import Dataset
from taskdata.model.shapes import LineKind


def counted(dataset: Dataset) -> dict[str, int]:
    """Return how many things of each kind a set holds; logs and grids whose files cannot be read do not count."""
    lengths = [log.length for task in dataset.tasks for log in task.logs]
    read = [length for length in lengths if length is not None]
    return {
        **things(dataset),
        "grids": sum(task.grid is not None and task.grid.cells is not None for task in dataset.tasks),
        "logs": len(read),
        "log_records": sum(read),
    }


def things(dataset: Dataset) -> dict[str, int]:
    """Return how many things of each kind a set names; no file is read for it."""
    return {
        "customers": len(dataset.customers),
        "farms": len(dataset.farms),
        "fields": len(dataset.fields),
        "areas": len(dataset.areas),
        "lines": sum(line.kind is not LineKind.GUIDANCE for line in dataset.lines),
        "guidance_lines": len(dataset.guidance),
        "points": len(dataset.points),
        "machines": len(dataset.machines),
        "products": len(dataset.products),
        "workers": len(dataset.workers),
        "tasks": len(dataset.tasks),
        "zones": sum(len(task.zones) for task in dataset.tasks),
        **named(dataset),
    }


def named(dataset: Dataset) -> dict[str, int]:
    """Return how many logs and grids a set names, whether their files can be read or not."""
    return {
        "grids": sum(task.grid is not None for task in dataset.tasks),
        "logs": sum(len(task.logs) for task in dataset.tasks),
    }
