"""The map of a step, in the language and units of each page that asks for it."""

from __future__ import annotations

import threading
from collections.abc import Callable
from pathlib import Path

from taskdata import strict_json
from taskdata.page.content import Content, scene
from taskdata.page.encoding import scene_document
from taskdata.page.html_page import map_texts
from taskdata.page.thinning import thinned
from taskdata.page.wording import Wording
from taskdata.progress import stage


class Drawing:
    """Files with the map of a step, each made when it is asked for.

    Parameters
    ----------
    folder : Path
        Where they are kept; it exists.
    again : callable
        Returns what the map shows; it is not kept, since a large set takes much memory.
    named : callable
        Returns a text in JSON with what people call things in the place of paths.
    """

    def __init__(self, folder: Path, again: Callable[[], Content], named: Callable[[str], str]) -> None:
        self._folder, self._again, self._named = folder, again, named
        self._lock = threading.Lock()

    def path(self, word: Wording, content: Content | None = None) -> Path:
        """Return the file with the map; with ``content`` it is made of that."""
        place = self._folder / f"map-{word.language}-{word.units}.json"
        with self._lock:
            if not place.exists():
                text = self._named(_drawn(self._again() if content is None else content, word))
                fresh = place.with_suffix(".new")
                fresh.write_text(text, encoding="utf-8", errors="backslashreplace")
                fresh.replace(place)
        return place


def _drawn(content: Content, word: Wording) -> str:
    with stage("Drawing the map", ""):
        return strict_json.dumps(scene_document(thinned(scene(content, word)), word, map_texts(word)), compact=True)
