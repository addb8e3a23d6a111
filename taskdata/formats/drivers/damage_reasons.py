"""What the libraries below say of damaged files, in plain words."""

from __future__ import annotations

_WORDS = (
    (("malformed", "not a database", "file is encrypted"), "the file is damaged"),
    (("disk I/O error", "Input/output error"), "the disk or stick cannot be read at this point"),
    (("No space left", "disk is full", "database or disk"), "there is no space left"),
    (("Permission denied", "readonly", "read-only"), "access is denied"),
    (("magic bytes", "footer", "file size", "smaller than"), "it is not a Parquet file, or was cut off"),
    (("Corrupt", "decompress", "Unexpected end of stream", "deserialize", "thrift"), "its bytes are damaged"),
    (("coordinate reference system",), "its coordinate reference system cannot be read"),
    (("another encoding", "codec"), "its texts are in an unknown encoding"),
    (("not recognized", "No such file", "Failed to open", "Unable to open"), "it is damaged or cut off"),
)
UNKNOWN = "it is damaged, or not of the format that its name suggests"


def reason(error: Exception) -> str:
    """Return why a file cannot be read."""
    said = str(error)
    return next((words for needles, words in _WORDS if any(needle in said for needle in needles)), UNKNOWN)
