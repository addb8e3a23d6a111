"""Global Location Numbers: the number by which the standard names a manufacturer.

Source: GS1 General Specifications, 13 digits of which the last is a check digit (weights 1 and 3 in turn from the
left, the sum with the check digit a multiple of 10).
"""

from __future__ import annotations

LENGTH = 13


def check_digit(digits: str) -> int:
    """Return the check digit that belongs behind the first twelve digits.

    Parameters
    ----------
    digits : str
        Twelve decimal digits.

    Raises
    ------
    ValueError
        ``digits`` are not twelve decimal digits.

    Examples
    --------
    >>> check_digit("061414112345")
    2
    """
    if len(digits) != LENGTH - 1 or not (digits.isascii() and digits.isdigit()):
        raise ValueError(f"not twelve decimal digits: {digits!r}")
    total = sum(int(digit) * (1, 3)[place % 2] for place, digit in enumerate(digits))
    return -total % 10


def is_gln(text: str) -> bool:
    """Tell whether ``text`` is a Global Location Number with its right check digit."""
    if len(text) != LENGTH or not (text.isascii() and text.isdigit()):
        return False
    return check_digit(text[:-1]) == int(text[-1])
