"""Devices written of records: the schema and every rule accept them, and they read back as they were."""

from __future__ import annotations

from dataclasses import replace

import pytest

import taskdata
from taskdata.findings import Severity
from taskdata.model.dataset import Dataset
from taskdata.model.machines import Machine, Part, PartKind, Presentation, Quantity
from tests.samples import SAMPLES

SHOWN = Presentation(0, "0.001", 2, "m")
OWN = (
    Part("DET1", PartKind.DEVICE, 0, 1, 0, name="Gerät", quantities=(Quantity(0xDFFF),)),
    Part(
        "DET2",
        PartKind.FUNCTION,
        1,
        2,
        1,
        name="Arbeitsbreite",
        width_m=6.0,
        offset_x_m=-1.25,
        quantities=(
            Quantity(134, value=-1250),
            Quantity(135),
            Quantity(136, value=0),
            Quantity(67, settable=True, presentation=SHOWN),
            Quantity(70, name="Breite", value=6000, presentation=SHOWN),
            Quantity(141, default_set=True),
        ),
    ),
)


def _described(machine):
    """What a machine says of itself, whatever its numbers of objects and names of quantities."""
    return [
        (
            *(part.id, part.kind, part.number, part.parent, part.name, part.offset_x_m, part.width_m),
            *((item.ddi, item.value, item.settable, item.default_set, item.presentation) for item in part.quantities),
        )
        for part in machine.parts
    ]


@pytest.mark.parametrize("version", [2, 3, 4])
def test_a_new_machine_is_written_as_the_standard_requires(tmp_path, version):
    machine = Machine("DVC7", name="Maschine " * 6, serial="17", parts=OWN)
    dataset = Dataset("made", "isoxml", machines=(machine,))
    done = taskdata.write(dataset, tmp_path / "out", to="isoxml", version=version)
    assert [loss.what for loss in done.losses] == [
        "DeviceDesignator 'Maschine Maschine Maschine Maschine Maschine Maschine ' is cut to 32 characters"
    ]
    assert [item.rule.id for item in taskdata.check(tmp_path / "out").findings] == ["name.cut"]
    (found,) = taskdata.read(tmp_path / "out").machines
    assert (found.id, found.serial, found.name) == ("DVC7", "17", "Maschine Maschine Maschine Masch")
    assert _described(found) == _described(machine)
    assert found.working_width_m == 6.0


def test_equal_descriptions_have_equal_labels_and_others_do_not(tmp_path):
    wider = replace(OWN[1], quantities=(*OWN[1].quantities[:4], Quantity(70, value=9000), OWN[1].quantities[5]))
    labels = []
    for number, parts in enumerate((OWN, OWN, (OWN[0], wider))):
        dataset = Dataset("made", "isoxml", machines=(Machine("DVC1", parts=parts),))
        taskdata.write(dataset, tmp_path / f"{number}", to="isoxml")
        (found,) = taskdata.read(tmp_path / f"{number}").machines
        labels.append(found.structure_label)
    assert labels[0] == labels[1] != labels[2]


def test_machines_of_a_set_are_written_anew_as_they_were_read(tmp_path):
    before = taskdata.read(SAMPLES / "machine").machines
    assert len(before) == 3
    done = taskdata.write(Dataset("made", "isoxml", machines=before), tmp_path / "out", to="isoxml")
    assert not [loss for loss in done.losses if "machine" in loss.what]
    after = taskdata.read(tmp_path / "out").machines
    assert [_described(item) for item in after] == [_described(item) for item in before]
    named = ("id", "name", "software", "serial", "client_name", "structure_label", "localization_label")
    assert [[getattr(item, name) for name in named] for item in after] == [
        [getattr(item, name) for name in named] for item in before
    ]
    errors = [item for item in taskdata.check(tmp_path / "out").findings if item.rule.severity is Severity.ERROR]
    assert errors == []
