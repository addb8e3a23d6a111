"""Rates in written units: handbook values, and every stored integer found again from the rate that it is shown as."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from taskdata.quantities import scales
from taskdata.quantities.dictionary import entries, entry
from taskdata.quantities.presentation import Presentation
from taskdata.resources import table

VOLUME, MASS, COUNT, SPEED = 1, 6, 11, 397
KNOWN = sorted(ddi for ddi in entries() if scales.scales(ddi))


@pytest.mark.parametrize(
    ("ddi", "unit", "rate", "raw"),
    [
        # The dictionary counts 0.01 mm³/m²: 1 L on 10,000 m² is 100 mm³/m².
        (VOLUME, "L/ha", 150.0, 1_500_000),
        (VOLUME, "mL/ha", 150_000.0, 1_500_000),
        (VOLUME, "m³/ha", 0.15, 1_500_000),
        (VOLUME, "m3 / ha", 0.15, 1_500_000),
        (VOLUME, "mm³/m²", 15_000.0, 1_500_000),
        # NIST SP 811: the gallon is 3.785411784 L, the international acre 4046.8564224 m²: 9.353958 L/ha.
        (VOLUME, "gal/ac", 1.0, 93_540),
        (VOLUME, "fl oz/ac", 128.0, 93_540),
        # 1 kg on 10,000 m² is 100 mg/m²; the avoirdupois pound is 0.45359237 kg: 1.120851 kg/ha.
        (MASS, "kg/ha", 0.1, 10),
        (MASS, "t/ha", 2.5, 250_000),
        (MASS, "g/ha", 30.0, 3),
        (MASS, "lb/ac", 100.0, 11_209),
        # 0.001 grains on a square metre are a step.
        (COUNT, "seeds/m²", 350.0, 350_000),
        (COUNT, "1/m2", 350.0, 350_000),
        (COUNT, "1/ha", 3_500_000.0, 350_000),
        (SPEED, "m/s", 2.5, 2_500),
        (SPEED, "km/h", 9.0, 2_500),
    ],
)
def test_handbook_values(ddi: int, unit: str, rate: float, raw: int) -> None:
    scale = scales.scale_in(ddi, unit)
    assert scale is not None
    assert round(scale.raw(rate)) == raw


def test_decimal_rates_are_exact() -> None:
    """0.1 is no binary number; the tenth that was typed is meant."""
    scale = scales.scale_in(VOLUME, "L/ha")
    assert scale is not None
    assert scale.raw(0.1) == 1_000
    assert scale.raw(214748.3647) == 2**31 - 1
    assert scale.raw(0.00015) == Fraction(3, 2)


@pytest.mark.parametrize("unit", ["kg/ha", "1/ha", "", "L", "Liter", "gal"])
def test_a_unit_of_another_dimension_is_none(unit: str) -> None:
    assert scales.scale_in(VOLUME, unit) is None


@given(st.sampled_from(KNOWN), st.integers(scales.LEAST, scales.MOST), st.data())
def test_every_stored_integer_is_found_again(ddi: int, raw: int, data: st.DataObject) -> None:
    scale = data.draw(st.sampled_from(sorted(scales.scales(ddi).items())))[1]
    assert round(scale.raw(scale.rate(raw))) == raw


@given(st.integers(scales.LEAST, scales.MOST), st.integers(-1000, 1000), st.integers(1, 10**6))
def test_what_a_presentation_shows_is_found_again(raw: int, offset: int, millionths: int) -> None:
    shown = Presentation.read(str(offset), f"0.{millionths - 1:06d}1", "3", "Körner")
    assert shown is not None
    scale = scales.scale_in(0xE123, "körner", shown)
    assert scale is not None
    assert math.isclose(scale.rate(raw), float((raw + offset) * shown.scale))
    assert round(scale.raw(scale.rate(raw))) == raw


@pytest.mark.parametrize("rate", [math.nan, math.inf, -math.inf])
def test_what_is_no_number_is_refused(rate: float) -> None:
    scale = scales.scale_in(VOLUME, "L/ha")
    assert scale is not None
    with pytest.raises(ValueError, match="not a finite number"):
        scale.raw(rate)


def test_every_written_unit_is_one_of_a_quantity() -> None:
    named = {unit for ddi in KNOWN for unit in scales.scales(ddi)}
    assert {row["written"] for row in table("written_units")} <= named
    assert scales.usual_scale(0xE123) is None
    assert not entry(0xE123).known
