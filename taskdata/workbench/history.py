"""What was dropped and done, step by step, so that the last step can be undone."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import field
from pathlib import Path
from typing import Any

from taskdata import strict_json
from taskdata.dataclass import dataclass
from taskdata.page.wording import Wording
from taskdata.workbench.drawing import Drawing
from taskdata.workbench.naming import in_page

Told = Callable[[Wording], dict[str, Any]]


@dataclass(frozen=True)
class Source:
    """Something that was dropped.

    Parameters
    ----------
    number : int
    label : str
        What people call it; blank for several files that lie in no common folder.
    path : Path
        The file that holds it.
    files : int
        How many files were dropped.
    kept : tuple of tuple of str
        Files that are kept under another name than their own: both names.
    """

    number: int
    label: str
    path: Path
    files: int = 1
    kept: tuple[tuple[str, str], ...] = ()

    def __str__(self) -> str:
        return self.label or f"{self.files} files"


@dataclass(frozen=True)
class Done:
    """What a job gave.

    Parameters
    ----------
    result : dict or callable
        For the page; a callable returns it in the language of the page.
    path : Path or None
        The set that later steps work on; None = the same as before.
    download : Path or None
        A file to be saved.
    scene : Drawing or None
        The map that shows it; None = the map before.
    """

    result: dict[str, Any] | Told
    path: Path | None = None
    download: Path | None = None
    scene: Drawing | None = None


@dataclass(frozen=True, eq=False)
class Step:
    """A job that was done: its kind, what was asked for, what it gave, and the folders that it made."""

    number: int
    kind: str
    options: dict[str, Any]
    done: Done
    places: tuple[Path, ...]
    named: Callable[[str], str]
    _texts: dict[Wording, str] = field(default_factory=dict)

    def text(self, word: Wording) -> str:
        """Return what a page shows of it, as the text of a JSON object without its braces."""
        if word not in self._texts:
            result = self.done.result if isinstance(self.done.result, dict) else self.done.result(word)
            shown = {"kind": self.kind, "options": self.options, "result": _warned(result, word)}
            self._texts[word] = strict_json.dumps(
                mapped(shown, lambda text: self.named(word.phrase(text))), compact=True
            )[1:-1]
        return self._texts[word]


@dataclass(frozen=True)
class Held:
    """All that was dropped and done at one time."""

    sources: tuple[Source, ...] = ()
    steps: tuple[Step, ...] = ()
    last: str | None = None

    def places(self) -> Iterator[Path]:
        """Yield every file and folder that it needs."""
        yield from (source.path for source in self.sources)
        yield from (place for step in self.steps for place in step.places)


class History:
    """What is held now, and what was held before each step; what was replaced by a new drop is kept once."""

    def __init__(self) -> None:
        self.now = Held()
        self._past: list[Held] = []

    @property
    def can_go_back(self) -> bool:
        """Whether there is a step to undo."""
        return bool(self._past)

    def replace(self, source: Source) -> None:
        """Put a new drop in the place of all that is held."""
        self._past = [self.now]
        self.now = Held((source,), (), "drop")

    def add(self, source: Source) -> None:
        """Put a drop beside what is held."""
        self._past.append(self.now)
        self.now = Held((*self.now.sources, source), self.now.steps, "drop")

    def did(self, step: Step) -> None:
        """Keep a step; the first look at a drop is undone together with it."""
        if self.now.steps or step.kind != "look":
            self._past.append(self.now)
            self.now = Held(self.now.sources, (*self.now.steps, step), step.kind)
        else:
            self.now = Held(self.now.sources, (step,), "drop")

    def back(self) -> None:
        """Forget the last step."""
        if self._past:
            self.now = self._past.pop()

    def places(self) -> set[Path]:
        """Return every file and folder that is needed now or after an undo."""
        return {place for held in (self.now, *self._past) for place in held.places()}


def mapped(value: Any, change: Callable[[str], str]) -> Any:
    """Return a document with each text in it changed."""
    if isinstance(value, str):
        return change(value)
    if isinstance(value, dict):
        return {name: mapped(item, change) for name, item in value.items()}
    return [mapped(item, change) for item in value] if isinstance(value, list | tuple) else value


def _warned(result: dict[str, Any], word: Wording) -> dict[str, Any]:
    """Return a result whose warnings name the fields of the page, in its language."""
    found = dict(result)
    if isinstance(found.get("set"), dict):
        found["set"] = _warned(found["set"], word)
    if "warnings" in found:
        found["warnings"] = mapped(found["warnings"], lambda text: in_page(word.phrase(text), word.t))
    return found
