"""Field work: figures of each task that has logs, what was applied, and charts of it."""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.amounts import duration
from taskdata.model.dataset import Dataset
from taskdata.page import markup
from taskdata.page.charts import line_words, task_charts
from taskdata.page.content import Content
from taskdata.page.found_section import SEVERITY_WORDS
from taskdata.page.wording import Wording
from taskdata.palette import styles
from taskdata.quantities.by_area import farm_rate
from taskdata.results.areas import Areas
from taskdata.results.coverage import Coverage, Known
from taskdata.results.figures import Figures, RateFigures
from taskdata.translations import N_

_FOLLOWED = N_("{line}: mean {mean}, 95 % below {most}; passes along it: {passes}, between its parallels: {others}")
LINE_CAUTION = N_(
    "No log says which guidance line steered. Unless one was named, passes are compared with that line of the field "
    "that most of them run along."
)


def work_section(content: Content, word: Wording) -> str:
    """Return the section of field work, empty where no task has logs."""
    parts = [_task(task, content, word) for task in content.tasks]
    told = [markup.paragraph(word.t(LINE_CAUTION), "soft")] if any(task.followed for task in content.tasks) else []
    return markup.section("work", word.t("Field work"), *parts, *told)


def _task(task: Coverage, content: Content, word: Wording) -> str:
    names = {field.id: field.name or field.id for field in content.dataset.fields}
    title = task.name or task.task
    field = names.get(task.field or "", task.field)
    head = f"<h3 dir='auto'>{markup.text(title if field is None else f'{title}, {field}')}</h3>"
    if task.known is Known.NOTHING:
        return (
            head
            + markup.paragraph(word.t("It is not known what was worked, missed or worked twice."))
            + _notes(task, word)
        )
    figures = markup.facts(
        [*_areas(task.areas, word), *_figures(task.figures, word), *_straight(task, content.dataset, word)]
    )
    return head + figures + _rates(task, word) + task_charts(task, content.dataset, word) + _notes(task, word)


def _areas(areas: Areas, word: Wording) -> Iterator[tuple[str, str]]:
    if areas.field_m2:
        yield word.t("Field"), word.area(areas.field_m2)
    for kind, size in areas.by_kind.items():
        if size is None:
            continue
        found = areas.intervals.get(kind)
        between = ""
        if found is not None:
            between = word.t(" (between {low} and {high})", low=word.area(found.low), high=word.area(found.high))
        yield word.t(styles()[kind].label), f"{word.area(size)}{between}"


def _figures(figures: Figures, word: Wording) -> Iterator[tuple[str, str]]:
    yield word.t("Distance while working"), word.distance(figures.distance_m)
    if figures.field_time_s:
        yield word.t("Time while working"), duration(figures.working_time_s)
        yield word.t("From the first work to the last"), duration(figures.field_time_s)
    if figures.speed_m_s is not None:
        yield word.t("Working speed"), word.speed(figures.speed_m_s)
    if figures.width_m is not None:
        yield word.t("Working width"), word.length(figures.width_m, 2)
    if figures.capacity_ha_h is not None:
        yield word.t("Effective capacity (ASABE EP496)"), word.capacity(figures.capacity_ha_h)
    if figures.efficiency is not None:
        yield word.t("Field efficiency"), word.percent(figures.efficiency)


def _straight(task: Coverage, dataset: Dataset, word: Wording) -> Iterator[tuple[str, str]]:
    found = task.pass_to_pass
    if found is not None:
        mean, most = word.length(found.mean_abs_m, 3), word.length(found.p95_m, 3)
        yield word.t("Pass to pass (ISO 12188-1)"), word.t("mean {mean}, 95 % below {most}", mean=mean, most=most)
    followed = task.followed
    if followed is None:
        return
    label, line = word.t("Along a guidance line"), line_words(followed, dataset)
    error = followed.error
    if error is None:
        yield label, word.t("{line}: no pass runs along it", line=line)
        return
    facts = {"mean": word.length(error.mean_abs_m, 3), "most": word.length(error.p95_m, 3)}
    facts |= {"passes": word.number(error.passes, 0), "others": word.number(error.others, 0)}
    yield label, word.t(_FOLLOWED, line=line, **facts)


def _rates(task: Coverage, word: Wording) -> str:
    head = (
        word.t("Applied"),
        word.t("Mean rate"),
        word.t("Target"),
        word.t("Within 10 %"),
        word.t("Product"),
        word.t("On ground already worked"),
    )
    return markup.table(head, (_rate(rate, word) for rate in task.rates), (1, 2, 3, 4, 5))


def _rate(rate: RateFigures, word: Wording) -> tuple[str, ...]:
    shown = farm_rate(rate.ddi, word.units)
    name = word.quantity(rate.ddi)
    return (
        f"{name} ({rate.part})" if rate.part else name,
        f"{word.short(shown.rate(rate.mean))} {shown.unit}",
        "-" if rate.target_mean is None else f"{word.short(shown.rate(rate.target_mean))} {shown.unit}",
        "-" if rate.within_10_percent is None else word.percent(rate.within_10_percent),
        f"{word.short(shown.product(rate.applied))} {shown.product_unit}",
        f"{word.short(shown.product(rate.on_double))} {shown.product_unit}",
    )


def _notes(task: Coverage, word: Wording) -> str:
    return "".join(
        f'<p><strong class="{note.severity}">{markup.text(word.t(SEVERITY_WORDS[note.severity]))}</strong> '
        f"{markup.text(word.message(note))} {markup.text(word.remedy(note))}</p>"
        for note in sorted(task.notes, key=lambda finding: finding.severity.rank)
    )
