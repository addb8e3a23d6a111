"""The bill of products: what tasks with logs applied, and what tasks that are not begun ask for."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from taskdata.dataclass import dataclass
from taskdata.fieldwork.applied.planned_amounts import planned_amounts
from taskdata.model.dataset import Dataset
from taskdata.page import markup
from taskdata.page.content import Content
from taskdata.page.long_lists import listed_table
from taskdata.page.wording import Wording
from taskdata.quantities.by_area import farm_rate
from taskdata.quantities.dictionary import entry
from taskdata.reports.applied_text import RATE_CAUTION
from taskdata.reports.ratemap_text import CAUTION
from taskdata.results.coverage import Coverage, Known


@dataclass(frozen=True, slots=True)
class _Line:
    """How much of what: ``amount`` and ``counted``, by the machine itself, in ``unit``; None = not known."""

    product: str
    task: str
    field: str
    unit: str
    amount: float | None
    counted: float | None
    area_m2: float | None


def bill_section(content: Content, word: Wording) -> str:
    """Return the section of products, empty where none was applied and none is asked for."""
    applied = [line for task in content.tasks for line in _applied(task, content.dataset, word)]
    planned = list(_planned(content.dataset, word))
    parts = []
    if applied:
        title = word.t("Applied, by what machines logged")
        parts += [_heading(title), _table(applied, word, counted=True), markup.paragraph(word.t(RATE_CAUTION), "soft")]
    if planned:
        title = word.t("Still to be applied, by the rates of tasks that are not begun")
        parts += [_heading(title), _table(planned, word, counted=False), markup.paragraph(word.t(CAUTION), "caution")]
    return markup.section("products", word.t("Bill of products"), *parts)


def _heading(title: str) -> str:
    return f"<h3>{markup.text(title)}</h3>"


def _applied(task: Coverage, dataset: Dataset, word: Wording) -> Iterator[_Line]:
    """Yield what was applied, by the figures of coverage; a yield is harvested and no product."""
    rates = [rate for rate in task.rates if entry(rate.ddi).group == "rate"]
    if task.known is Known.NOTHING or not rates:
        return
    products = {(run.ddi, run.part): run.product for run in task.runs}
    for rate in rates:
        shown = farm_rate(rate.ddi, word.units)
        yield _Line(
            _named(dataset, products.get((rate.ddi, rate.part)), rate.ddi, word),
            task.name or task.task,
            _field(dataset, task.field),
            shown.product_unit,
            shown.product(rate.applied),
            None if rate.logged_total is None else shown.product(rate.logged_total),
            rate.area_m2,
        )


def _planned(dataset: Dataset, word: Wording) -> Iterator[_Line]:
    tasks = {task.id: task for task in dataset.tasks}
    for item in planned_amounts(dataset):
        shown = farm_rate(item.ddi, word.units)
        yield _Line(
            _named(dataset, item.product, item.ddi, word),
            tasks[item.task].name or item.task,
            _field(dataset, tasks[item.task].field),
            shown.product_unit,
            None if item.amount is None else shown.product(item.amount),
            None,
            item.area_m2,
        )


def _named(dataset: Dataset, product: str | None, ddi: int, word: Wording) -> str:
    if product is None:
        return word.t("{quantity}, product not stated", quantity=word.quantity(ddi))
    return next((item.name for item in dataset.products if item.id == product and item.name), product)


def _field(dataset: Dataset, identifier: str | None) -> str:
    named = next((field.name for field in dataset.fields if field.id == identifier), None)
    return named or identifier or "-"


def _table(lines: Sequence[_Line], word: Wording, *, counted: bool) -> str:
    """Return the lines by product, below those of one product in several tasks their sum."""
    of = {name: [line for line in lines if (line.product, line.unit) == name] for name in _products(lines)}
    rows = []
    for (product, unit), found in of.items():
        rows += [_row(line, word, counted=counted) for line in found]
        if len(found) > 1:
            rows.append(_row(_sum(found, product, unit, word), word, counted=counted))
    head = [word.t("Product"), word.t("Amount"), *([word.t("Counted by the machine")] if counted else [])]
    figures = range(1, len(head) + 1)
    head += [word.t("Ground"), word.t("Field"), word.t("Task")]
    return listed_table(head, rows, len(rows), word, figures)


def _products(lines: Sequence[_Line]) -> dict[tuple[str, str], None]:
    return dict.fromkeys((line.product, line.unit) for line in lines)


def _sum(lines: Sequence[_Line], product: str, unit: str, word: Wording) -> _Line:
    amount, counted = (_total([getattr(line, name) for line in lines]) for name in ("amount", "counted"))
    return _Line(word.t("Sum of {product}", product=product), "", "", unit, amount, counted, None)


def _total(amounts: Sequence[float | None]) -> float | None:
    known = [amount for amount in amounts if amount is not None]
    return sum(known) if len(known) == len(amounts) else None


def _row(line: _Line, word: Wording, *, counted: bool) -> tuple[str, ...]:
    ground = "" if not line.task else "-" if line.area_m2 is None else word.area(line.area_m2)
    amounts = [line.amount, *([line.counted] if counted else [])]
    shown = (word.t("unknown") if value is None else f"{word.short(value)} {line.unit}" for value in amounts)
    return (line.product, *shown, ground, line.field, line.task)
