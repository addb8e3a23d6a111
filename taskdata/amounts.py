"""Counts, numbers and durations as they stand in a sentence."""

from collections.abc import Sequence

from taskdata.phrases import Phrase

_MOST_LISTED = 50

_PLAIN_BELOW = 1e15
"""From here on a double holds no decimals; larger numbers keep their exponent."""


def counted(number: int, word: str, plural: str | None = None) -> str:
    """Return a number with the word for what it counts, in the singular for 1; ``plural`` where an s does not do."""
    return Phrase(f"{{count}} {word if number == 1 else plural or f'{word}s'}", {"count": number})


def plain(number: float) -> str:
    """Return a number in full, without an exponent: 5000000 rather than 5e+06."""
    if not _PLAIN_BELOW > abs(number) >= 1e6:
        return f"{number:g}"
    return f"{number:.6f}".rstrip("0").rstrip(".")


def duration(seconds: float) -> str:
    """Return a duration to the second, its two or three largest units, such as ``34 min 15 s`` or ``1 h 5 min 0 s``."""
    whole = round(seconds)
    hours, minutes, rest = whole // 3600, whole // 60 % 60, whole % 60
    if hours:
        return f"{hours} h {minutes} min {rest} s"
    return f"{minutes} min {rest} s" if minutes else f"{rest} s"


def listed_in_part(names: Sequence[str]) -> str:
    """Return names with commas between them; of very many the first 50, and how many more there are."""
    more = len(names) - _MOST_LISTED
    return ", ".join(names[:_MOST_LISTED]) + (f" and {more} more" if more > 0 else "")
