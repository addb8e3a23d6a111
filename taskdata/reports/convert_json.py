"""What a conversion did, as JSON."""

from __future__ import annotations

from typing import Any

from taskdata.ledger import Loss
from taskdata.reports import words
from taskdata.reports.choosing import chosen_document, notes_of
from taskdata.reports.new_errors import new_errors_document
from taskdata.reports.reading import reading_document
from taskdata.results.conversion import Conversion, WrittenStick
from taskdata.results.reading import Datum


def convert_document(result: Conversion) -> dict[str, Any]:
    """Return the document of ``convert --json``; sticks stand in it where there are several."""
    document = {
        "source": result.source,
        "target": result.target,
        "written": dict(result.written),
        "losses": [loss_document(loss) for loss in result.losses],
        "new_errors": new_errors_document(result.new_errors),
        "datum": [datum_document(change) for change in result.datum],
        **chosen_document(result.chosen),
        **reading_document(result.findings, (*notes_of(result.chosen), *map(words.message, result.beyond_hints))),
    }
    return {**document, "sticks": [stick_document(stick) for stick in result.sticks]} if result.sticks else document


def stick_document(stick: WrittenStick) -> dict[str, Any]:
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


def datum_document(datum: Datum) -> dict[str, Any]:
    """Return how the coordinates of layers in one system were brought to WGS 84."""
    return {
        "layers": list(datum.layers),
        "from": datum.source,
        "to": datum.target,
        "operation": datum.operation,
        "accuracy_m": datum.accuracy_m,
        "note": datum.note,
    }
