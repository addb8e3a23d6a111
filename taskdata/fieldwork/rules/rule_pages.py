"""Pages of the rules of this folder, under the four headings of every rule."""

from __future__ import annotations


def page(checks: str, matters: str, example: str, fix: str) -> str:
    """Return a page: what a rule checks, why it matters, an example, and how to fix it."""
    parts = {"What it checks": checks, "Why it matters": matters, "Example": example, "How to fix": fix}
    return "".join(f"{heading}\n    {text}\n" for heading, text in parts.items())
