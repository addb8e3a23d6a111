"""The one form of the page of a rule, and what is refused."""

from __future__ import annotations

import pytest

from taskdata.reports.rule_page import RulePage, parse_page

PAGE = """A ring is open.

What it checks
    That the last point
    repeats the first.
Why it matters
    Some refuse it.
Example
    Bad: four points.
    Good: five.
How to fix
    Close it.
"""


def test_a_page_has_a_title_and_four_texts() -> None:
    expected = (
        "That the last point\nrepeats the first.",
        "Some refuse it.",
        "Bad: four points.\nGood: five.",
        "Close it.",
    )
    assert parse_page(PAGE) == RulePage("A ring is open.", *expected)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "begins with a sentence"),
        (PAGE.removeprefix("A ring is open.\n\n"), "begins with a sentence"),
        (PAGE.replace("Example", "Examples"), "not What it checks, Why it matters, Examples, How to fix"),
        (PAGE.replace("    Close it.\n", ""), "nothing stands under How to fix"),
        (PAGE.replace("Why it matters\n", "Why it matters\n--------------\n"), "has the headings"),
        (PAGE.replace("    Some refuse", "Some refuse"), "has the headings"),
    ],
)
def test_another_form_is_refused(text: str, told: str) -> None:
    with pytest.raises(ValueError, match=told):
        parse_page(text)
