"""Global Location Numbers against published examples.

Sources: GS1 General Specifications, section on check digit calculations, whose worked example for 13 digits is
629104150021 with the check digit 3; GS1 EPC Tag Data Standard, whose example of an SGLN stands for the GLN
0614141123452.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from taskdata.checks.gln import check_digit, is_gln

PUBLISHED = ("6291041500213", "0614141123452")


@pytest.mark.parametrize("number", PUBLISHED)
def test_published_examples(number: str) -> None:
    assert check_digit(number[:-1]) == int(number[-1])
    assert is_gln(number)


@pytest.mark.parametrize("number", PUBLISHED)
def test_one_wrong_digit_is_always_seen(number: str) -> None:
    """What a check digit with weights 1 and 3 promises, for 3 has no divisor in common with 10."""
    for place in range(13):
        for digit in set("0123456789") - {number[place]}:
            assert not is_gln(number[:place] + digit + number[place + 1 :])


@given(st.text("0123456789", min_size=12, max_size=12))
def test_of_ten_last_digits_one_is_right(digits: str) -> None:
    assert [last for last in range(10) if is_gln(f"{digits}{last}")] == [check_digit(digits)]


@pytest.mark.parametrize(
    "text", ["", "629104150021", "62910415002130", " 6291041500213", "629104150021\uff13", "-291041500213"]
)
def test_what_is_no_number_of_13_digits_is_none(text: str) -> None:
    assert not is_gln(text)


@pytest.mark.parametrize("digits", ["", "62910415002", "62910415002x", "\uff1629104150021"])
def test_a_check_digit_needs_twelve_digits(digits: str) -> None:
    with pytest.raises(ValueError, match="twelve"):
        check_digit(digits)
