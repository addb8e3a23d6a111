"""Conversions and presentations against published values."""

import math
from decimal import Decimal

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from taskdata.errors import UsageError
from taskdata.quantities.dictionary import entries
from taskdata.quantities.presentation import Presentation
from taskdata.quantities.units import conversion, convert, quantities, to_raw
from taskdata.resources import table

# NIST SP 811, appendix B
ACRE_M2 = 4046.8564224
GALLON_L = 3.785411784
POUND_KG = 0.45359237


def converted(raw, ddi, system, quantity=None):
    value, unit = convert(raw, ddi, system, quantity)
    return pytest.approx(value, rel=1e-12), unit  # published ratios have 13 digits


@pytest.mark.parametrize(
    ("raw", "ddi", "system", "value", "unit"),
    [
        (10_000, 1, "metric", 1.0, "L/ha"),  # 0.01 mm³/m² a bit; 1 mm³/m² = 0.01 L/ha by definition
        (15_000, 6, "metric", 150.0, "kg/ha"),  # 15000 mg/m² = 150 kg/ha: ISO 11783-10:2015, D.41
        (9_353_956, 2, "us", 9_353_956 / 1e4 / 9.353956228956, "gal/ac"),  # NIST SP 811: 1 gal/ac = 9.353956228956 L/ha
        (112_085, 7, "us", 1120.85 / 1.120851156194, "lb/ac"),  # NIST SP 811: 1 lb/ac = 1.120851156194 kg/ha
        (800_000, 84, "metric", 8.0, "t/ha"),  # yields in tonnes: common practice
        (3_000, 67, "metric", 3.0, "m"),
        (304_800, 67, "us", 1000.0, "ft"),  # NIST SP 811: 1 ft = 0.3048 m
        (50, 56, "metric", 5.0, "cm"),  # depths in centimetres: common practice
        (254, 16, "us", 10.0, "in"),  # NIST SP 811: 1 in = 25.4 mm
        (1_609_344, 117, "us", 1.0, "mi"),  # NIST SP 811: 1 mi = 1609.344 m
        (10_000, 116, "metric", 1.0, "ha"),
        (7_200, 119, "metric", 2.0, "h"),
        (1_000, 397, "metric", 3.6, "km/h"),
        (1_000, 397, "us", 3_600 / 1609.344, "mph"),
        (1_000_000, 36, "metric", 60.0, "L/min"),
        (10_000, 149, "metric", 36.0, "L/h"),  # fuel by the hour: common practice
        (145_000, 262, "metric", 14.5, "%"),
        (293_150, 192, "metric", 20.0, "°C"),  # NIST SP 811: t/°C = T/K - 273.15
        (293_150, 192, "us", 68.0, "°F"),
        (233_150, 192, "us", -40.0, "°F"),  # the scales meet at -40
        (5_000, 224, "metric", 5.0, "K"),  # delta T is a difference: no offset
        (5_000, 224, "us", 9.0, "°F"),
        (1, 141, "metric", 1.0, ""),  # a state has no unit
    ],
)
def test_published_values(raw, ddi, system, value, unit):
    assert converted(raw, ddi, system) == (value, unit)
    array, same = convert(np.array([raw, raw], dtype=np.int32), ddi, system)
    assert (array[1], same) == (convert(raw, ddi, system)[0], unit)
    assert to_raw(value, ddi, system) == raw


def test_factors_are_exact_to_the_published_constants():
    assert convert(1, 81, "us") == (pytest.approx(1 / POUND_KG, rel=4e-16), "lb")
    assert convert(1, 80, "us") == (pytest.approx(1 / GALLON_L, rel=4e-16), "gal")
    assert float(conversion(116, "us").factor) == 1 / ACRE_M2
    gallon_per_acre = GALLON_L / (ACRE_M2 / 10_000)  # in L/ha
    assert 1 / float(conversion(1, "us").factor * 100) == pytest.approx(gallon_per_acre, rel=1e-15)
    assert gallon_per_acre == pytest.approx(9.353956228956, abs=5e-13)
    # 1 psi = 1 lbf/in² = 6894.757293168 Pa (NIST SP 811)
    pascal = next(ddi for ddi, item in entries().items() if item.unit == "Pa" and item.resolution)
    assert 1 / float(conversion(pascal, "us").factor) == pytest.approx(6894.757293168, abs=1e-9)


def test_quantity_can_be_chosen():
    assert quantities(36) == ("volume per time, application", "volume per time, fuel")
    assert converted(1_000_000, 36, "metric", "fuel") == (3600.0, "L/h")
    assert converted(800_000, 84, "metric", "mass per area") == (8000.0, "kg/ha")
    assert converted(2_000_000, 74, "metric", "mass, large")[1] == "t"
    with pytest.raises(UsageError, match="Choose one of"):
        convert(1, 36, "metric", "speed")
    with pytest.raises(UsageError, match="metric or us"):
        convert(1, 36, "imperial")


@pytest.mark.parametrize("ddi", [0xE000, 0x0C23, 426, 0xDFFE])
def test_raw_stays_raw_where_unit_or_resolution_is_unknown(ddi):
    assert convert(12, ddi, "us") == (12, None)
    raw = np.array([1, 2], dtype=np.int32)
    value, unit = convert(raw, ddi, "metric")
    assert value is raw
    assert unit is None
    with pytest.raises(UsageError, match="not known"):
        to_raw(1.0, ddi, "metric")


@pytest.mark.parametrize("value", [1e9, math.nan, -math.inf])
def test_values_that_no_file_can_hold_are_refused(value):
    with pytest.raises(UsageError, match="32 bits"):
        to_raw(value, 1, "metric")
    with pytest.raises(UsageError, match="32 bits"):
        to_raw(np.array([1.0, value]), 1, "metric")


@given(
    st.sampled_from(sorted(ddi for ddi, item in entries().items() if item.unit and item.resolution)),
    st.sampled_from(["metric", "us"]),
    st.integers(-(2**31), 2**31 - 1),
)
def test_every_known_ddi_converts_and_comes_back(ddi, system, raw):
    value, unit = convert(raw, ddi, system)
    assert unit is not None
    assert to_raw(value, ddi, system) == raw
    assert to_raw(np.array([value]), ddi, system).tolist() == [raw]


def test_every_unit_of_the_dictionary_has_conversions():
    units = {row["unit"] for row in table("units")}
    assert {item.unit for item in entries().values() if item.unit} <= units


def test_presentation_of_a_device():
    # ISO 11783-10:2015, D.25 and D.51: shown = (raw + offset) x scale
    litres = Presentation.read("0", "0.0001", "1", "L/ha")
    assert litres == Presentation(0, Decimal("0.0001"), 1, "L/ha")
    assert litres.text(1_234_567) == "123.5"
    raw = np.array([1_234_567, -1_234_567], dtype=np.int32)
    assert litres.values(raw).tolist() == pytest.approx([123.4567, -123.4567], rel=1e-15)


def test_presentation_of_a_set():
    celsius = Presentation.read("-273150", "0.001", "2", "°C")
    assert celsius.text(293_150) == "20.00"
    assert celsius.text(293_157) == "20.01"
    assert celsius.values(np.array([293_157], dtype=np.int32)).tolist() == pytest.approx([20.007])
    assert convert(293_150, 192, "us") == (68.0, "°F")


def test_presentation_edges():
    exact = Presentation.read("2147483647", "0.000000001", "7", "")
    assert exact.unit == ""
    assert exact.text(2**31 - 1) == "4.2949673"
    assert Presentation(0, Decimal("0.5"), 0, "").text(1) == "0"  # half to even
    assert Presentation(0, Decimal("0.5"), 0, "").text(3) == "2"
    assert Presentation(0, Decimal("0.01"), 0, "").text(-1) == "0"  # no minus zero
    assert Presentation(0, Decimal(100_000_000), 0, "").text(-(2**31)) == "-214748364800000000"


@pytest.mark.parametrize(
    "texts",
    [("", "", ""), ("0", "x", "1"), ("0.5", "1", "1"), ("0", "1", "8"), ("0", "1e3", "1"), ("0", "1", "")],
)
def test_unreadable_presentation_is_none(texts):
    assert Presentation.read(*texts, "L") is None
