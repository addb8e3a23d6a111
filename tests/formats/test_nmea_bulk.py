"""Sentences read many at once against the same read one by one, which pynmea2 parses."""

from __future__ import annotations

import random
from functools import reduce
from operator import xor
from pathlib import Path

import numpy as np
import pytest

from taskdata.formats.nmea.bulk import rows_of
from taskdata.formats.nmea.columns import COLUMNS, row_of
from taskdata.formats.nmea.sentences import Counts, sentences_of
from tests.heavy import HEAVY

FIELDS = {
    "clock": ["120000", "235959.95", "000000.00", "240000", "120061.5", "1200", ""],
    "lat": ["5412.3456789", "0000.0", "9000.0", "5459.9999999", "5460.0", "54", "5412.", ".5", "-5412.1", ""],
    "lon": ["00930.0", "18000.0", "17959.99999", "18000.1", "5.5", ".5", "930", ""],
    "ns": ["N", "S", "n", ""],
    "ew": ["E", "W", "O", ""],
    "fix": ["4", "1", "0", "", "x", "4.0", "255", "256"],
    "number": ["12", "0.7", ".7", "5.", "-3.25", "1e3", "123456789012345", "4,1", "", "-"],
    "year": ["2026", "99999999999999999999", "0", ""],
    "status": ["A", "V", "", "AA"],
    "date": ["010526", "290200", "310226", "311269", "1 0526", ""],
}
BODIES = {
    "GGA": "GGA,{clock},{lat},{ns},{lon},{ew},{fix},{fix},{number},{number},M,{number},M,1.0,0000",
    "RMC": "RMC,{clock},{status},{lat},{ns},{lon},{ew},{number},{number},{date},,,A",
    "VTG": "VTG,{number},T,,M,{number},N,9.26,K,A",
    "GST": "GST,{clock},0.01,0.012,0.008,45.0,{number},{number},0.02",
    "ZDA": "ZDA,{clock},01,05,{year},00,00",
    "GSV": "GSV,3,1,11,03,03,111,00",
}


def line(made: random.Random) -> str:
    """Return a line, mostly sound, now and then with something strange in one place."""
    body = BODIES[made.choice(list(BODIES))]
    odd = made.random() < 0.3
    for name, values in FIELDS.items():
        while f"{{{name}}}" in body:
            value = made.choice(values) if odd and made.random() < 0.3 else values[0]
            body = body.replace(f"{{{name}}}", value, 1)
    body = made.choice(["GN", "GP", "GL", "gn", "G1"] if odd else ["GN", "GP", "GL"]) + body
    text = f"${body}*{reduce(xor, body.encode()):02X}"
    kind = made.randrange(60)
    at = made.randrange(len(text))
    text = {
        0: text[:at],
        1: text.replace("*", "*0"),
        2: text[:at] + chr(made.randrange(256)) + text[at + 1 :],
        3: f"12:00:00 {text}",
        4: text + text,
        5: text.split("*", maxsplit=1)[0],
        6: text + "x" * 1500,
        7: text.lower(),
        8: "",
    }.get(kind, text)
    return text + made.choice(["\n", "\r\n"])


@pytest.mark.parametrize("seed", range(300 if HEAVY else 12))
def test_what_is_read_at_once_is_what_is_read_line_by_line(seed: int, tmp_path: Path) -> None:
    made = random.Random(seed)  # noqa: S311  # not for secrets
    text = "".join(line(made) for _ in range(200)).encode("latin-1")
    text = text.rstrip(b"\n") if seed % 2 else text
    file, counts, expected = tmp_path / "log.nmea", Counts(), Counts()
    file.write_bytes(text)
    rows = np.concatenate(list(rows_of(file, counts)))
    told = []
    for one in text.split(b"\n")[: None if seed % 2 else -1]:
        expected.lines += 1
        told += [row_of(item) for item in sentences_of((one + b"\n")[:1024], expected, checked=True)]
    np.testing.assert_array_equal(rows, np.array(told).reshape(-1, len(COLUMNS)))
    assert counts == expected


def test_a_line_without_an_end_is_looked_at_in_part(tmp_path: Path) -> None:
    file, counts = tmp_path / "log.nmea", Counts()
    body = "GNGGA,120000,5412.5,N,00930.0,E,4,12,0.7,40.0,M,44.5,M,1.0,0000"
    sound = f"${body}*{reduce(xor, body.encode()):02X}\n".encode()
    file.write_bytes(sound + b"\x00" * 3_000_000 + sound + sound)
    assert sum(len(rows) for rows in rows_of(file, counts)) == 2
    assert counts == Counts(lines=3)
