"""A sample of the independent simulation; the whole of it is ``python -m tests.simulation``."""

import pytest

from tests.simulation.__main__ import PARTS


@pytest.mark.parametrize("name", PARTS)
def test_a_sample_of_the_figures_agrees(name: str) -> None:
    figures, _ = PARTS[name]
    found = list(figures(6))
    assert len(found) >= 12
    assert [figure for figure in found if not figure.agrees] == []
