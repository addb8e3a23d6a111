"""One figure of the program and what it should be."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Figure:
    """What the program says, what a second method finds, and how far they may lie apart."""

    name: str
    said: float
    true: float
    bound: float

    @property
    def agrees(self) -> bool:
        return abs(self.said - self.true) <= self.bound
