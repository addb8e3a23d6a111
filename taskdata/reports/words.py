"""A finding in words, for people who type commands."""

from __future__ import annotations

from collections.abc import Callable

from taskdata.amounts import counted
from taskdata.arguments import as_option
from taskdata.findings import Fact, Finding, spoken

__all__ = ["counted", "message", "remedy", "said", "spoken", "standing"]


def message(finding: Finding) -> str:
    """Return what is wrong, as a sentence."""
    return finding.worded(finding.rule.message, as_option)


def remedy(finding: Finding) -> str:
    """Return what to do, as a sentence."""
    return finding.worded(finding.rule.remedy, as_option)


def said(finding: Finding, pattern: str, speak: Callable[[Fact], str]) -> str:
    """Return a sentence about a finding, given with the places of its facts, such as a translated message.

    ``speak`` says how its facts stand in it.
    """
    return finding.worded(pattern, as_option, speak)


def standing(finding: Finding) -> str:
    """Return where a finding stands, such as ``TASKDATA.XML:12 PFD1``; empty where it concerns the whole set."""
    return finding.where
