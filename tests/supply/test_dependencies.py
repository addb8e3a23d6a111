"""What the program needs is listed, and under licences that it may be given away with."""

from __future__ import annotations

import pytest
from packaging.utils import canonicalize_name

from tests.supply.dependencies import ROOT, direct, is_compatible, licence, needed, page


def test_every_licence_is_known_and_compatible() -> None:
    found = {name: licence(name) for name in needed()}
    assert len(found) > 20
    assert {name: text for name, text in found.items() if not is_compatible(text)} == {}


def test_what_the_program_asks_for_is_listed() -> None:
    """What these need in turn changes with their versions, and is held to its licence alone."""
    listed = (ROOT / "schemas" / "dependencies.md").read_text(encoding="utf-8").splitlines()
    names = {row.split(" | ")[0].removeprefix("| ") for row in listed if row.startswith("| ")}
    assert {canonicalize_name(item.name) for item in direct()} <= names
    assert {"numpy", "elementpath"} <= {row.split(" | ")[0].removeprefix("| ") for row in page().splitlines()}


@pytest.mark.parametrize(
    ("expression", "compatible"),
    [
        ("MIT", True),
        ("BSD-3-Clause AND 0BSD AND Zlib", True),
        ("GPL-3.0-or-later OR MIT", True),
        ("(Apache-2.0 OR BSD-2-Clause)", True),
        ("MIT AND GPL-3.0-only", False),
        ("LGPL-2.1-only", False),
        ("unknown", False),
        ("Proprietary", False),
    ],
)
def test_what_is_compatible(expression: str, compatible: bool) -> None:
    assert is_compatible(expression) is compatible
