"""Decimal columns against Python's own ``float`` and ``Decimal``."""

import math
from decimal import Decimal, InvalidOperation

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from taskdata.isoxml.tree.decimals import ODD, DecimalColumn, spell

CANONICAL = st.from_regex(r"-?(0|[1-9][0-9]{0,17})(\.[0-9]{1,17})?", fullmatch=True)
NUMBERLIKE = st.from_regex(r"[ +-]?[0-9]{0,22}\.?[0-9]{0,22} ?", fullmatch=True)


def value(text):
    """Return what XML Schema's xs:decimal says a text means, None for no number (XML Schema part 2, 3.2.3)."""
    text = text.strip(" \t\r\n")
    if not set(text) <= set("+-.0123456789"):
        return None
    try:
        return Decimal(text)
    except InvalidOperation:
        return None


@given(st.lists(st.text() | NUMBERLIKE | CANONICAL))
@example(["12\0", "1\0002", "\0", ""])
@example(["١٢", "5²", "-", ".", "-.", "--1", "1-1", "1.2.3", "1e5", "nan", "inf", "0x1"])
@example(["9" * 18, "9" * 19, "-" + "9" * 18, "0." + "9" * 17, "1" * 23, "1" * 24, "1" * 25, " " * 30])
@example(["-0", "-0.0", "+5.0", "5.", "05.1", "00.5", ".5", "0.50", "-0.0000001"])
def test_any_text_comes_back_to_the_letter(texts):
    column = DecimalColumn.from_texts(texts)
    assert column.texts() == texts
    assert len(column) == len(texts)
    for start in range(min(3, len(texts))):
        assert column.texts(start, len(texts) - 1) == texts[start : len(texts) - 1]


@given(st.lists(NUMBERLIKE | CANONICAL, min_size=1))
@example(["-0", "+5.0", "5.", "05.1", ".5", "\t5\n", "", "+", "."])
@example(["42.09206431765054", "0.999999999999999999", "123456789012345678", "9007199254740993", "-179.99999999999999"])
def test_floats_are_those_of_the_text(texts):
    column = DecimalColumn.from_texts(texts)
    for text, number in zip(texts, column.floats().tolist(), strict=True):
        exact = value(text)
        if exact is None:
            assert math.isnan(number)
            continue
        assert number == float(text)
        assert abs(Decimal(number) - exact) <= Decimal(math.ulp(number)) / 2


@pytest.mark.parametrize("places", range(18))
def test_every_power_of_ten_is_exact(places):
    texts = [f"{number / 10**places:.{places}f}" for number in range(0, 1000, 7)]
    assert DecimalColumn.from_texts(texts).floats().tolist() == [float(text) for text in texts]


@given(CANONICAL)
def test_canonical_spellings_up_to_18_digits_need_no_text(text):
    column = DecimalColumn.from_texts([text])
    compact = sum(letter.isdigit() for letter in text) <= 18 and not (text[0] == "-" and not Decimal(text))
    assert (column.digits[0] != ODD) == compact
    if compact:
        assert Decimal(text) == Decimal(int(column.scaled[0])).scaleb(-int(column.digits[0]))


@given(st.integers(-(10**18) + 1, 10**18 - 1), st.integers(0, 17))
def test_spelling_a_scaled_number_keeps_its_value_and_digits(scaled, digits):
    text = spell(scaled, digits)
    assert Decimal(text) == Decimal(scaled).scaleb(-digits)
    assert len(text.partition(".")[2]) == digits


def test_slices_of_floats_look_up_their_own_odd_texts():
    column = DecimalColumn.from_texts(["1", "+2", "3", "+4.5", "x", "6"])
    assert np.array_equal(column.floats(1, 4), [2.0, 3.0, 4.5])
    assert np.isnan(column.floats(4)[0])
    assert len(DecimalColumn.from_texts([])) == 0
    assert column.floats(6).tolist() == []
