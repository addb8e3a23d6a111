"""By what work is recognised: tasks, their times and allocations, their logs.

A stick is read several times in a season. What had begun when it was read first goes on: a record of time gets a stop,
a log gets longer, an amount grows. It stays one record.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable

from taskdata.isoxml.facts import letter
from taskdata.isoxml.tree.element import Element
from taskdata.isoxml.tree.filenames import file_name
from taskdata.sets.joining.agreeing import Member, contradict
from taskdata.sets.joining.contents import Contents
from taskdata.sets.joining.sources import RankedSource, stamps
from taskdata.sets.side import name_of

ALLOCATIONS = {"WAN", "DAN", "PAN", "CAN", "CAT", "GAN", "GST"}
"""What is allocated to a task, or shifted in it, from a time to a time."""

SEASONS_APART_S = 180 * 86400.0
"""Tasks of one number and name whose records lie farther apart than half a year are tasks of two seasons."""

PLANNED = "1"
"""Type of a time that was planned and not worked."""

_BEGINNING = 16
"""Bytes of a log that tell it from most others: the time of its first record and where it was."""

_OWNERS = ("PartfieldIdRef", "CustomerIdRef", "FarmIdRef")
_GROWING = {"TIM": ("Stop", "Duration"), "ASP": ("Stop", "Duration"), "PAN": ("QuantityValue",)}
"""What changes while a record goes on."""


class WorkMatcher:
    """Keys and tests for the work in the sources of one merge."""

    def __init__(self, sources: list[RankedSource], contents: Contents) -> None:
        self.sources = sources
        self.contents = contents

    def done(self, index: int, item: Element) -> list[Hashable]:
        """Return how the logs of a task begin; of one without logs its name, its field, and when its work began.

        Another program may have given the task another number since.
        """
        logs = [
            (self.contents.header(index, file_name(log) or ""), start)
            for log in item.elements("TLG")
            if len(start := self._start(index, log)) == _BEGINNING
        ]
        if logs:
            return [*logs]
        texts = self._texts(index, item, ("TaskDesignator", "PartfieldIdRef"))
        work = [time for time in item.elements("TIM") if time.get("Start") and time.get("Type") != PLANNED]
        return [(*texts, time.get("Start"), time.get("Type")) for time in work[:1] if all(texts)]

    def same_work(self, one: Member, two: Member) -> bool:
        """Tell whether two tasks have a log in common, or without logs their first record of work."""
        logs = [[(index, log) for log in item.elements("TLG")] for index, item in (one, two)]
        if all(logs):
            return any(self._log_like(left, right) for left in logs[0] for right in logs[1])
        times = [
            [(index, time) for time in item.elements("TIM") if time.get("Type") != PLANNED]
            for index, item in (one, two)
        ]
        return not any(logs) and all(times) and self.same_time(times[0][0], times[1][0])

    def task(self, index: int, item: Element) -> list[Hashable]:
        """Return identifier and name of a task; of one without a name its field."""
        told = name_of(item) or self.contents.text(index, item, letter("TSK", "PartfieldIdRef"))
        return [(item.id, told)] if item.id is not None and told else []

    def same_task(self, one: Member, two: Member) -> bool:
        """Tell whether two tasks of one identifier and name are one.

        Machines number what they make from -1 on, so that one number means other tasks on other machines: such a task
        is one where its first record is.
        """
        names = [letter("TSK", name) for name in _OWNERS]
        if self._contradict(one, two, names):
            return False
        made = any((item.id or "").startswith("TSK-") for _, item in (one, two))
        return self._begin_alike(one, two) if made else not _seasons_apart(one[1], two[1])

    def time(self, _: int, item: Element) -> list[Hashable]:
        """Return when a record of time began, and of what type it is."""
        return [(item.get("Start"), item.get("Type"))] if item.get("Start") else []

    def same_time(self, one: Member, two: Member) -> bool:
        """Tell whether two records of time of one type that began at the same moment are one that went on."""
        values = [
            {self._texts(index, value, ("ProcessDataDDI", "DeviceElementIdRef")) for value in item.elements("DLV")}
            for index, item in (one, two)
        ]
        return self._went_on(one, two) and not (all(values) and values[0].isdisjoint(values[1]))

    def allocation(self, index: int, item: Element) -> list[Hashable]:
        """Return what is allocated, and from when on."""
        stamp = next(item.elements("ASP"), None)
        if stamp is None or not stamp.get("Start"):
            return []
        growing = {letter(item.tag, name) for name in _GROWING.get(item.tag, ())}
        texts = [(name, self.contents.text(index, item, name)) for name in sorted({*item.attributes} - growing)]
        return [(tuple(texts), stamp.get("Start"), stamp.get("Type"))]

    def same_allocation(self, one: Member, two: Member) -> bool:
        """Tell whether two allocations of the same from the same moment on are one that went on."""
        left, right = ((index, next(item.elements("ASP"))) for index, item in (one, two))
        return self._went_on(left, right)

    def recorded(self, index: int, item: Element) -> list[Hashable]:
        """Return what stands in the file and the header of a log."""
        return [self.contents.file(index, item)] if file_name(item) else []

    def named_log(self, index: int, item: Element) -> list[Hashable]:
        """Return the name of a log."""
        return [name.upper()] if (name := file_name(item)) else []

    def copied_in_part(self, one: Member, two: Member) -> bool:
        """Tell whether one log is what a copy that was not finished left of the other: a file of it is lost."""
        left, right = (self.contents.header(index, file_name(item) or "") for index, item in (one, two))
        lost = any(self.sources[index].lost(item) for index, item in (one, two))
        return lost and (left == right or not left or not right)

    def log(self, index: int, item: Element) -> list[Hashable]:
        """Return name and header of a log."""
        name = file_name(item)
        return [] if name is None else [(name, self.contents.header(index, name))]

    def longer(self, one: Member, two: Member) -> bool:
        """Tell whether one log is the beginning of the other: the same log, copied earlier."""
        names = [f"{file_name(item)}.BIN" for _, item in (one, two)]
        blobs = [self.sources[index].file(name) for (index, _), name in zip((one, two), names, strict=True)]
        if blobs[0] is None or blobs[1] is None:
            return False
        short, long = sorted((blobs[0], blobs[1]), key=lambda blob: blob.size)
        alike = all(left == right[: len(left)] for left, right in zip(short.pieces(), long.pieces(), strict=False))
        return alike and short.fault is None and long.fault is None

    def _log_like(self, one: Member, two: Member) -> bool:
        """Tell whether two logs have one header, and one is the beginning of the other, whatever their names."""
        headers = {self.contents.header(index, file_name(log) or "") for index, log in (one, two)}
        return (
            len(headers) == 1
            and min(len(self._start(*log)) for log in (one, two)) == _BEGINNING
            and self.longer(one, two)
        )

    def _start(self, index: int, log: Element) -> bytes:
        """Return the first bytes of a log."""
        blob = self.sources[index].file(f"{file_name(log)}.BIN")
        return b"" if blob is None else next(blob.pieces(_BEGINNING), b"")

    def _begin_alike(self, one: Member, two: Member) -> bool:
        """Tell whether the first record of time of two tasks is one, or without such their first log."""
        for tag, keys, same in (("TIM", self.time, self.same_time), ("TLG", self.log, self.longer)):
            firsts = [(index, first) for index, item in (one, two) for first in [*item.elements(tag)][:1]]
            if len(firsts) == 2:
                left, right = firsts
                return bool(keys(*left)) and keys(*left) == keys(*right) and same(left, right)
        return False

    def _went_on(self, one: Member, two: Member) -> bool:
        """Tell whether two records differ in nothing but what changes while one goes on, and began in one place."""
        tag = one[1].tag
        growing = {letter(tag, name) for name in _GROWING[tag]}
        names = {name for _, item in (one, two) for name in item.attributes if name not in growing}
        places = [
            [self._texts(index, place, ("PositionNorth", "PositionEast")) for place in item.elements("PTN")][:1]
            for index, item in (one, two)
        ]
        return not self._contradict(one, two, names) and not (all(places) and places[0] != places[1])

    def _contradict(self, one: Member, two: Member, names: Iterable[str]) -> bool:
        """Tell whether both say something in an attribute, and not the same."""
        chosen = list(names)
        left, right = ([self.contents.text(index, item, name) for name in chosen] for index, item in (one, two))
        return contradict(left, right)

    def _texts(self, index: int, item: Element, names: Iterable[str]) -> tuple[str, ...]:
        return tuple(self.contents.text(index, item, letter(item.tag, name)) for name in names)


def _seasons_apart(one: Element, two: Element) -> bool:
    spans = [(min(found), max(found)) for found in (stamps(one), stamps(two)) if found]
    if len(spans) < 2:
        return False
    early, late = sorted(spans)
    return late[0] - early[1] > SEASONS_APART_S
