"""What a conversion did, as JSON."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Protocol

from taskdata.findings import Finding
from taskdata.ledger import Loss


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


def convert_document(result: Conversion) -> dict[str, Any]:
    """Return the document of ``convert --json``."""
    return {
        "source": result.source,
        "target": result.target,
        "written": dict(result.written),
        "losses": [loss_document(loss) for loss in result.losses],
        "datum": None if result.datum is None else datum_document(result.datum),
    }


def loss_document(loss: Loss) -> dict[str, Any]:
    """Return one line of the ledger."""
    return {"kind": str(loss.kind), "element": loss.element, "what": loss.what, "why": loss.why}


def datum_document(datum: DatumShift) -> dict[str, Any]:
    """Return how coordinates were brought to WGS 84."""
    return {"from": datum.source, "to": datum.target, "accuracy_m": datum.accuracy_m}
