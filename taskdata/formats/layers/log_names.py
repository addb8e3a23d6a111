"""Names of the columns of logged quantities: quantity, unit and part, such as ``rate_l_ha_boom``.

Small letters of ASCII, figures and low lines. The name of a quantity is that of the data dictionary (ISO 11783-11)
without Actual and without what its unit says; the part is what the machine calls it. Where two columns would have one
name, each ends with the identifier of its part, or the number of its quantity.
"""

from __future__ import annotations

import re
import unicodedata
from collections import Counter
from collections.abc import Iterable, Mapping

from taskdata.dataclass import dataclass
from taskdata.model.log_columns import LogColumn
from taskdata.quantities.dictionary import entry

_LETTERS = str.maketrans(
    {"ä": "ae", "ö": "oe", "ü": "ue", "ß": "ss", "ø": "oe", "æ": "ae", "å": "aa", "œ": "oe", "đ": "d", "ł": "l"}
    | {"²": "2", "³": "3", "%": " pct ", "°": " deg "}
)
_UNIT_SAYS = re.compile(r"\b(?:Volume|Mass|Count|Area) Per (?:Area|Time|Mass|Volume) (?:Application )?(Rate|Yield)\b")
_LONGEST = 24
"""Letters of the name of a part that are used."""


@dataclass(frozen=True, slots=True)
class Channel:
    """A column of logs: a quantity and its part, and which one of several alike in a log, from 1."""

    ddi: int
    part: str | None
    number: int = 1


def channels(columns: Iterable[LogColumn]) -> list[Channel]:
    """Return the channel of each column of one log, in their order."""
    seen: Counter[tuple[int, str | None]] = Counter()
    found = []
    for column in columns:
        key = (column.ddi, column.part)
        seen[key] += 1
        found.append(Channel(*key, seen[key]))
    return found


def names(columns: Mapping[Channel, LogColumn], taken: Iterable[str]) -> dict[Channel, str]:
    """Return the name of each channel, whatever their order.

    Parameters
    ----------
    columns : mapping of Channel to LogColumn
        What each holds.
    taken : iterable of str
        Names that other columns have.
    """
    order = sorted(columns, key=lambda item: (item.ddi, item.part or "", item.number))
    found = {channel: _name(columns[channel]) for channel in order}
    for ending in (_by_part, _by_ddi):
        common = Counter([*found.values(), *taken])
        found = {key: f"{name}_{ending(key)}" if common[name] > 1 else name for key, name in found.items()}
    used = set(taken)
    for channel, name in found.items():
        found[channel] = _free(name, used)
        used.add(found[channel])
    return found


def plain(text: str) -> str:
    """Return a text in small letters of ASCII and figures, with low lines between words."""
    spelled = unicodedata.normalize("NFKD", text.casefold().translate(_LETTERS))
    letters = "".join(item for item in spelled if not unicodedata.combining(item))
    return re.sub(r"[^a-z0-9]+", "_", letters).strip("_")


def _name(column: LogColumn) -> str:
    item = entry(column.ddi)
    quantity = _UNIT_SAYS.sub(r"\1", item.plain_name).removeprefix("Actual ").replace("Application Rate", "Rate")
    words = [plain(quantity) if item.known else f"ddi_{item.hex.lower()}", plain(column.unit or "")]
    part = plain(column.part_name or "")[:_LONGEST].strip("_") or plain(column.part or "")
    return "_".join(word for word in (*words, part) if word)


def _by_part(channel: Channel) -> str:
    return plain(channel.part or "") or "device"


def _by_ddi(channel: Channel) -> str:
    return f"{channel.ddi:04x}"


def _free(name: str, used: set[str]) -> str:
    number, free = 1, name
    while free in used:
        number += 1
        free = f"{name}_{number}"
    return free
