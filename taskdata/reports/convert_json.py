"""What a conversion did, as JSON."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Protocol

from taskdata.findings import Finding
from taskdata.ledger import Loss
from taskdata.reports.new_errors import new_errors_document
from taskdata.reports.reading import reading_document


class DatumShift(Protocol):
    """How coordinates were brought to WGS 84."""

    @property
    def source(self) -> str:
        """Name of the system that the source is in."""
        ...

    @property
    def target(self) -> str:
        """Name of the system of the result."""
        ...

    @property
    def accuracy_m(self) -> float | None:
        """Accuracy of the way to WGS 84 in metres, None where unknown."""
        ...


class Stick(Protocol):
    """One of several sticks that a set was parted over."""

    @property
    def target(self) -> str:
        """The folder whose content goes onto it."""
        ...

    @property
    def written(self) -> dict[str, int]:
        """How many things of each kind it holds."""
        ...

    @property
    def fields(self) -> Sequence[str]:
        """Identifiers of the fields on it."""
        ...

    @property
    def tasks(self) -> Sequence[str]:
        """Identifiers of the tasks on it."""
        ...


class Conversion(Protocol):
    """What a conversion did, or would do."""

    @property
    def source(self) -> str:
        """Path of the source."""
        ...

    @property
    def target(self) -> str:
        """Path of the target."""
        ...

    @property
    def written(self) -> dict[str, int]:
        """How many things of each kind the target holds."""
        ...

    @property
    def losses(self) -> Sequence[Loss]:
        """The ledger."""
        ...

    @property
    def datum(self) -> DatumShift | None:
        """How coordinates were brought to WGS 84, None where nothing had to be done."""
        ...

    @property
    def findings(self) -> Sequence[Finding]:
        """What reading the source found wrong."""
        ...

    @property
    def named(self) -> Mapping[str, int]:
        """How many logs and grids the target names."""
        ...

    @property
    def sticks(self) -> Sequence[Stick]:
        """The sticks that the set was parted over, none where it is one set."""
        ...

    @property
    def new_errors(self) -> Sequence[Finding]:
        """Errors of the target that the source did not have."""
        ...


def convert_document(result: Conversion) -> dict[str, Any]:
    """Return the document of ``convert --json``; sticks stand in it where there are several."""
    document = {
        "source": result.source,
        "target": result.target,
        "written": dict(result.written),
        "losses": [loss_document(loss) for loss in result.losses],
        "new_errors": new_errors_document(result.new_errors),
        "datum": None if result.datum is None else datum_document(result.datum),
        **reading_document(result.findings),
    }
    return {**document, "sticks": [stick_document(stick) for stick in result.sticks]} if result.sticks else document


def stick_document(stick: Stick) -> dict[str, Any]:
    """Return one of several sticks."""
    return {
        "target": stick.target,
        "written": dict(stick.written),
        "fields": list(stick.fields),
        "tasks": list(stick.tasks),
    }


def loss_document(loss: Loss) -> dict[str, Any]:
    """Return one line of the ledger."""
    return {"kind": str(loss.kind), "element": loss.element, "what": loss.what, "why": loss.why}


def datum_document(datum: DatumShift) -> dict[str, Any]:
    """Return how coordinates were brought to WGS 84."""
    return {"from": datum.source, "to": datum.target, "accuracy_m": datum.accuracy_m}
