"""Every kind of work by the name that the page gives it."""

from __future__ import annotations

from taskdata.workbench.bench import Work
from taskdata.workbench.jobs.check import check
from taskdata.workbench.jobs.choose import choose
from taskdata.workbench.jobs.clean import clean
from taskdata.workbench.jobs.convert import convert
from taskdata.workbench.jobs.look import look
from taskdata.workbench.jobs.rates import columns, ratemap
from taskdata.workbench.jobs.several import compare, merge
from taskdata.workbench.jobs.work import coverage, passes

WORK: dict[str, Work] = {
    "look": look,
    "check": check,
    "clean": clean,
    "choose": choose,
    "convert": convert,
    "merge": merge,
    "compare": compare,
    "coverage": coverage,
    "passes": passes,
    "columns": columns,
    "ratemap": ratemap,
}
