"""Where the work stands, as the page reads it."""

from __future__ import annotations

import os
import re
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from taskdata import strict_json
from taskdata.page.wording import Wording
from taskdata.workbench.history import Held, Source, Step


def state_text(held: Held, head: dict[str, Any], word: Wording) -> str:
    """Return what is held, as a text in JSON.

    Parameters
    ----------
    head : dict
        What stands before it.

    Returns
    -------
    str
        ``head``, and ``sources``, ``steps`` and ``download``.
        A step is ``stale`` where a later one changed the set that it looked at.
    """
    sources = [
        {"number": item.number, "label": item.label, "files": item.files, "kept": item.kept} for item in held.sources
    ]
    download = any(step.done.download for step in held.steps)
    whole = head | {"sources": sources, "download": download}
    last = max((at for at, step in enumerate(held.steps) if step.done.path is not None), default=0)
    steps = (
        f"{strict_json.dumps(_standing(step, stale=at < last), compact=True)[:-1]},{step.text(word)}}}"
        for at, step in enumerate(held.steps)
    )
    return f'{strict_json.dumps(whole, compact=True)[:-1]},"steps":[{",".join(steps)}]}}'


def _standing(step: Step, *, stale: bool) -> dict[str, Any]:
    return {"number": step.number, "stale": stale, "drawn": step.done.scene is not None}


def named(text: str, folder: Path, sources: Sequence[Source], *, json: bool = False) -> str:
    """Return a text with what people call things in the place of paths in the temporary folder.

    Parameters
    ----------
    json : bool
        It is a text in JSON.
    """

    def written(part: str) -> str:
        return strict_json.dumps(part)[1:-1] if json else part

    for source in sorted(sources, key=lambda item: -len(os.fspath(item.path))):
        for path in (os.fspath(source.path), source.path.name):
            text = text.replace(written(path), written(str(source)))
    separator = re.escape(written(os.sep))
    return re.sub(rf"{re.escape(written(os.fspath(folder)))}{separator}(?:step-\d+{separator})?", "", text)
