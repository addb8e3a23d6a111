"""Patterns of the paths of items, as people write them: ``*.csv``, ``2023/*``, ``old.zip``, ``farm.gpkg/lines``."""

from __future__ import annotations

from fnmatch import fnmatchcase


def fits(pattern: str, path: str) -> bool:
    """Tell whether a pattern fits the path of an item, its last parts, or a folder or archive that it lies in.

    Parameters
    ----------
    pattern : str
        ``*`` stands for any letters, ``?`` for one, ``[ab]`` for one of several; case does not matter. A text that is
        the path itself fits whatever letters are in it; one that begins with ``/`` fits from the beginning alone.
    path : str
        Path of an item, its parts joined by ``/``.
    """
    wanted = pattern.replace("\\", "/").casefold().removeprefix("./").rstrip("/")
    parts = path.replace("\\", "/").casefold().split("/")
    starts = (0,) if wanted.startswith("/") else range(len(parts))
    wanted = wanted.removeprefix("/")
    return any(_same(wanted, "/".join(parts[start:end])) for start in starts for end in range(len(parts), start, -1))


def _same(wanted: str, text: str) -> bool:
    return wanted == text or fnmatchcase(text, wanted)


def fits_below(pattern: str, source: str, path: str) -> bool:
    """Tell whether a pattern fits the path of an item below a source of that name, or the source itself."""
    return fits(pattern, path) or fits(pattern, f"{source}/{path}")
