"""What is in the set: fields, machines, products and tasks."""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.model.dataset import Dataset
from taskdata.model.fields import Field
from taskdata.model.tasks import Task, TaskStatus
from taskdata.page import markup
from taskdata.page.long_lists import listed_table
from taskdata.page.wording import Wording
from taskdata.reports.inspect import field_document
from taskdata.translations import N_

STATUS_WORDS = {
    TaskStatus.PLANNED: N_("planned"),
    TaskStatus.RUNNING: N_("running"),
    TaskStatus.PAUSED: N_("paused"),
    TaskStatus.COMPLETED: N_("completed"),
    TaskStatus.TEMPLATE: N_("template"),
    TaskStatus.CANCELLED: N_("cancelled"),
}


def held_section(dataset: Dataset, word: Wording) -> str:
    """Return the section of contents."""
    return markup.section("contents", word.t("What is in it"), *_parts(dataset, word))


def _parts(dataset: Dataset, word: Wording) -> Iterator[str]:
    head: tuple[str, ...] = (
        word.t("Field"),
        word.t("Area"),
        word.t("Guidance lines"),
        word.t("Other areas"),
        word.t("Points"),
    )
    rows = (_field(field, word) for field in dataset.fields)
    yield listed_table(head, rows, len(dataset.fields), word, (1, 2, 3, 4))
    machines = (
        (machine.name or machine.id, _width(machine.working_width_m, word), str(len(machine.sections)))
        for machine in dataset.machines
    )
    head = (word.t("Machine"), word.t("Working width"), word.t("Sections"))
    yield listed_table(head, machines, len(dataset.machines), word, (1, 2))
    products = ((item.name or item.id,) for item in dataset.products)
    yield listed_table((word.t("Product"),), products, len(dataset.products), word)
    names = {field.id: field.name or field.id for field in dataset.fields}
    head = (word.t("Task"), word.t("State"), word.t("Field"), word.t("Logs"), word.t("Records"))
    yield listed_table(head, (_task(task, names, word) for task in dataset.tasks), len(dataset.tasks), word, (3, 4))


def _field(field: Field, word: Wording) -> tuple[str, ...]:
    lines = len(field.guidance) + len(field.line_guidance)
    counts = (lines, len(field.areas), len(field.points))
    return (
        field.name or field.id,
        word.area(field_document(field)["area_m2"]),
        *(word.number(count, 0) for count in counts),
    )


def _width(metres: float | None, word: Wording) -> str:
    return "-" if metres is None else word.length(metres, 2)


def _task(task: Task, names: dict[str, str], word: Wording) -> tuple[str, ...]:
    records = sum(log.length or 0 for log in task.logs)
    return (
        task.name or task.id,
        "-" if task.status is None else word.t(STATUS_WORDS[task.status]),
        names.get(task.field or "", task.field or "-"),
        word.number(len(task.logs), 0),
        word.number(records, 0),
    )
