"""The data dictionary: numbers, names, units (ISO 11783-11) and what is not listed."""

from decimal import Decimal

import pytest

from taskdata.quantities.dictionary import ddi_number, entries, entry


def test_volume_rate():
    # ISO 11783-11, DDI 1: setpoint volume per area, 0.01 mm³/m² a bit, 0 to 21474836.47
    item = entry(1)
    assert (item.hex, item.unit, item.resolution, item.group, item.kind) == (
        "0001",
        "mm³/m²",
        Decimal("0.01"),
        "rate",
        "setpoint",
    )
    assert (item.minimum, item.maximum, item.basis, item.known) == (Decimal(0), Decimal("21474836.47"), "text", True)


def test_numbers_and_hexadecimals_agree():
    assert len(entries()) > 500
    for ddi, item in entries().items():
        assert ddi == item.ddi == int(item.hex, 16)
        assert item.known
        assert item.name


def test_blank_resolution_is_unknown_not_one():
    assert entry(426).unit == "N"  # downforce: listed, resolution not known here
    assert entry(426).resolution is None


@pytest.mark.parametrize(
    ("ddi", "name"),
    [
        (0x0C23, "unknown DDI 0C23"),
        (0xDFFD, "unknown DDI DFFD"),
        (0xE000, "manufacturer's DDI E000"),
        (0xE123, "manufacturer's DDI E123"),
        (0xFFFE, "manufacturer's DDI FFFE"),
    ],
)
def test_unlisted_numbers_are_never_refused(ddi, name):
    item = entry(ddi)
    assert (item.ddi, item.name, item.known, item.unit, item.resolution) == (ddi, name, False, None, None)


def test_special_numbers_are_listed():
    assert entry(0xDFFE).known  # from a network message
    assert entry(0xDFFF).known  # default set
    assert entry(0xFFFF).known  # reserved


@pytest.mark.parametrize(
    ("text", "number"),
    [("0001", 1), ("dffe", 0xDFFE), ("1", 1), ("e0", 0xE0), ("00001", None), ("", None), ("+001", None)],
)
def test_numbers_from_text(text, number):
    assert ddi_number(text) == number


def test_rows_read_in_the_public_dictionary():
    # ISO 11783-11 online data dictionary: 208, 421, 499 and 550 as read there.
    assert [(entry(ddi).unit, entry(ddi).resolution, entry(ddi).basis) for ddi in (208, 421, 499, 550)] == [
        ("°", Decimal(1), "text"),
        ("mm", Decimal(1), "text"),
        ("not defined", Decimal(1), "text"),
        ("%", Decimal("0.1"), "text"),
    ]
    assert (entry(550).name, entry(550).minimum, entry(550).maximum) == ("Ground Cover", 0, 100)


@pytest.mark.parametrize(
    ("ddi", "name"),
    [
        (2, "Actual Volume Per Area Application Rate"),  # ... as [mm³/m²]
        (81, "Application Total Mass"),  # ... in [kg]
        (352, "Application Total Mass"),  # ... in gram [g]
        (116, "Total Area"),
    ],
)
def test_a_plain_name_has_no_unit(ddi, name):
    assert entry(ddi).plain_name == name
