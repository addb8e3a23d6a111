"""What every JSON document of the program holds of reading, as JSON Schema."""

from __future__ import annotations

from typing import Any

_TEXT = {"type": "string", "minLength": 1}
_UNREAD = {
    "type": "object",
    "additionalProperties": False,
    "required": ["file", "what", "why"],
    "properties": {"file": _TEXT, "what": _TEXT, "why": _TEXT},
}
READING: dict[str, Any] = {
    "findings": {"type": "array", "items": {"type": "object", "required": ["rule", "severity", "message", "file"]}},
    "warnings": {"type": "array", "items": _TEXT},
    "unread": {"type": "array", "items": _UNREAD},
}
"""Properties of every document; all of them are always there."""
EMPTY: dict[str, list[Any]] = {name: [] for name in READING}
