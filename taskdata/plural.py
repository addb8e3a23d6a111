"""Numbers with the word for what they count."""


def counted(number: int, word: str) -> str:
    """Return a number with the word for what it counts, in the singular for 1."""
    return f"{number} {word}" if number == 1 else f"{number} {word}s"
