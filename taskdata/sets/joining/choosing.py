"""Whose word counts where sources say different things of one thing."""

from __future__ import annotations

from collections.abc import Iterable

from taskdata.isoxml.facts import elements, letter
from taskdata.isoxml.tree.element import Element
from taskdata.isoxml.tree.filenames import file_name
from taskdata.phrases import phrase
from taskdata.sets.joining.sources import RankedSource, latest
from taskdata.sets.joining.steps import is_boundary
from taskdata.sets.joining.things import MergedEntity

CODING_RULE = phrase("office data takes precedence over a machine's, then the latest work, then the fuller set")
LAYER_RULE = phrase("a task data set takes precedence over layers")
TASK_RULE = phrase("the source with the latest record of this work takes precedence")
STATUS_RULE = phrase("the later of two states of a task is kept")
LOG_RULE = phrase("the longer file of a continued log is kept")
TIME_RULE = phrase("the later of two states of a continued time record is kept")

_PROGRESS = {"Planned": 0, "Template": 0, "Running": 1, "Paused": 1, "Completed": 2, "Canceled": 2}
_TOGETHER = {
    "PFD": {"PartfieldArea"},
    "TSK": {"DefaultTreatmentZoneCode", "PositionLostTreatmentZoneCode", "OutOfFieldTreatmentZoneCode"},
    "PLN": {"PolygonArea"},
    "LSG": {"LineStringLength"},
    "TLG": {"Filename", "Filelength"},
    "PNT": {"Filename", "Filelength"},
    "AFE": {"FilenameWithExtension"},
}
"""Attributes that belong to what is taken whole from one source: outline, zones, file."""

_FOLLOWING = {"AFE": {"FileLength"}}
"""Attributes that follow from the file that is kept, so that it is no matter what a source says."""

_IN_STEP = {
    "PFD": (("CustomerIdRef", "FarmIdRef"), ("CropTypeIdRef", "CropVarietyIdRef")),
    "TSK": (("CustomerIdRef", "FarmIdRef", "PartfieldIdRef"),),
    "TIM": (("Stop", "Duration"),),
    "ASP": (("Stop", "Duration"),),
}
"""What is true only together, so that all comes from one source."""

_PRESCRIPTION = {"TZN", "GRD"}
TIMES = {"TIM", "ASP"}
_DIGITS = 10


def together(tag: str) -> set[str]:
    """Return the letters of the attributes of ``tag`` that come from the source of what is taken whole."""
    return {letter(tag, name) for name in _TOGETHER.get(tag, ())}


def following(tag: str) -> set[str]:
    """Return the letters of the attributes of ``tag`` over which sources cannot disagree."""
    return {letter(tag, name) for name in _FOLLOWING.get(tag, ())}


def in_step(tag: str, name: str) -> tuple[str, ...]:
    """Return the letters of the attributes that come from one source together with the one of letter ``name``."""
    groups = (tuple(letter(tag, item) for item in group) for group in _IN_STEP.get(tag, ()))
    return next((group for group in groups if name in group), (name,))


def taken_whole(parent: Element, child: Element) -> bool:
    """Tell whether a child of what is united child by child belongs to what is taken whole from one source."""
    if parent.tag == "PFD":
        return child.tag == "PLN" and is_boundary(child)
    return parent.tag == "TSK" and child.tag in _PRESCRIPTION


def order(thing: MergedEntity, sources: list[RankedSource], *, task: bool) -> list[int]:
    """Return the indices of the sources of a thing, first the one whose word counts; ``task`` for tasks and below."""
    indices = list(thing.members)
    if not task or len(indices) == 1:
        return indices
    sizes = {index: _size(sources[index], element) for index, element in thing.members.items()}

    def key(index: int) -> tuple[float, int, bool, int]:
        from_office = sources[index].document.origin == "FMIS" and thing.members[index].tag != "TLG"
        return -latest(thing.members[index]), -sizes[index], from_office, index

    return sorted(indices, key=key)


def _size(source: RankedSource, element: Element) -> int:
    """Return the size of a time log in bytes, the duration of a record of time in seconds; 0 of anything else."""
    if element.tag in TIMES:
        text = element.get("Duration") or ""
        return int(text) if text.isascii() and text.isdigit() and len(text) <= _DIGITS else 0
    blob = source.file(f"{file_name(element)}.BIN") if element.tag == "TLG" else None
    return 0 if blob is None else blob.size


def rule_for(tag: str, sources: Iterable[RankedSource], *, task: bool) -> str:
    """Return the rule by which one of the sources is chosen for an element of ``tag``."""
    if not task and len({source.side.of_layers for source in sources}) > 1:
        return LAYER_RULE
    if tag in TIMES:
        return TIME_RULE
    return LOG_RULE if tag == "TLG" else TASK_RULE if task else CODING_RULE


def progress(code: str) -> int:
    """Return how far a task with a status is: planned, at work, done."""
    values = elements()["TSK"].attributes[letter("TSK", "TaskStatus")].values
    return next((_PROGRESS.get(value.name, 0) for value in values if str(value.low) == code), -1)
