"""Large files of archives are unpacked to disk; whoever reads them cannot tell the difference."""

import io
import random
import tempfile
import zipfile

import pytest

from taskdata.isoxml.files import archives
from taskdata.isoxml.files.archives import Archive
from taskdata.isoxml.files.blob import UnreadableFileError

CONTENT = random.Random(3).randbytes(300_000) + b"\0" * 300_000  # noqa: S311  # test data, no secret


@pytest.fixture
def small(monkeypatch):
    """Let files of more than 1 kB count as large."""
    monkeypatch.setattr(archives, "IN_MEMORY", 1_000)
    monkeypatch.setattr(archives, "PIECE", 10_000)


def blob_in(packed: bytes):
    """Return the one file of an archive."""
    return Archive("x.zip", lambda: io.BytesIO(packed)).root.files()[0]


def packed(method=zipfile.ZIP_DEFLATED):
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", method) as archive:
        archive.writestr("TLG00001.BIN", CONTENT)
    return held.getvalue()


@pytest.mark.usefixtures("small")
def test_they_are_read_whole_and_as_often_as_wanted():
    blob = blob_in(packed())
    with blob.opener() as stream:
        assert not isinstance(stream, io.BytesIO)
    assert blob.read() == CONTENT == b"".join(blob.pieces(999))
    assert blob.fault is None


@pytest.mark.usefixtures("small")
def test_a_damaged_one_is_told_before_anything_is_read_of_it():
    damaged = bytearray(packed(zipfile.ZIP_STORED))
    damaged[400_000] ^= 1
    blob = blob_in(bytes(damaged))
    assert list(blob.pieces()) == []
    assert "CRC" in blob.fault


@pytest.mark.usefixtures("small")
def test_no_room_for_it_is_no_damage(monkeypatch):
    class Full(io.BytesIO):
        def write(self, octets):
            raise OSError(28, "No space left on device")

    monkeypatch.setattr(tempfile, "TemporaryFile", lambda **_: Full())
    with pytest.raises(UnreadableFileError, match=r"has no room .*No space left on device.*Make room there"):
        blob_in(packed()).read()
