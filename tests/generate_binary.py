"""Time logs and grids: records and the elements that describe them, packed with ``struct``."""

from __future__ import annotations

import struct

from tests.generate_coding import Coding
from tests.generate_maker import Maker
from tests.generate_tree import Node
from tests.generate_values import EPOCH

_POSITION = (
    ("A", "i", (-900_000_000, 900_000_000)),
    ("B", "i", (-1_800_000_000, 1_800_000_000)),
    ("C", "i", (-(2**31), 2**31 - 1)),
    ("D", "B", (0, 8)),
    ("E", "H", (0, 999)),
    ("F", "H", (0, 999)),
    ("G", "B", (0, 254)),
    ("H", "I", (0, 86_399_999)),
    ("I", "H", (0, 65534)),
)
_MISSING = {"i": -1, "B": 255, "H": 65535, "I": 2**32 - 1}


class Logs:
    """Makes time logs: an element, a header file and records."""

    def __init__(self, maker: Maker, coding: Coding) -> None:
        self.maker = maker
        self.rng = maker.rng
        self.coding = coding
        self.headers: dict[str, Node] = {}

    def log(self) -> Node:
        """Make a log; its header is in ``headers``, its records in the files of the maker."""
        maker = self.maker
        name = maker.new_file("TLG")
        values = self._values()
        position, stored = self._position()
        timed = self.rng.random() < 0.95
        start = "" if timed else maker.values.stamp()
        header = maker.element("TIM", Start=start, Stop=None, Duration=None, Type="4")
        header.add(*position, *values)
        kept = [at for at, value in enumerate(values) if value.attributes["B"] == ""]
        records = self._records(timed, stored, kept)
        self.headers[name] = header
        maker.files[f"{name}.BIN"] = records
        return maker.element("TLG", Filename=name, Filelength=self.rng.choice([None, str(len(records))]))

    def _values(self) -> list[Node]:
        made = []
        for _ in range(self.rng.choice([0, 1, 2, 5, 255]) if self.maker.most > 2 else self.rng.randint(0, 3)):
            machine = self.rng.choice(self.coding.machines)
            part, offers = self.rng.choice(list(machine.offers.items()))
            ddi = self.rng.choice(offers) if offers else self.maker.values.ddi()
            text = "" if self.rng.random() < 0.9 else self.maker.values.raw_of(ddi)
            made.append(value_of_group(self.maker, ddi, text, part))
        return made

    def _position(self) -> tuple[list[Node], list[tuple[str, str, tuple[int, int]]]]:
        """Make the position of the header: each field stored, constant, or absent where it may be."""
        if self.rng.random() < 0.1:
            return [], []
        node = self.maker.element("PTN")
        for key, _, _ in _POSITION:
            if key in node.attributes and self.rng.random() < 0.8:
                node.attributes[key] = ""
        stored = [field for field in _POSITION if node.attributes.get(field[0]) == ""]
        return [node], stored

    def _records(self, timed: bool, stored: list[tuple[str, str, tuple[int, int]]], kept: list[int]) -> bytes:
        out = bytearray()
        stamp, day = self.rng.randint(0, 86_000_000), (self.maker.values.now - EPOCH).days
        for _ in range(self.rng.choice([0, 1, 3, 20, 40 * self.maker.most])):
            stamp += self.rng.randint(0, 5000)
            if stamp >= 86_400_000:
                stamp, day = stamp - 86_400_000, day + 1
            out += struct.pack("<IH", stamp, day) if timed else b""
            for _, code, (low, high) in stored:
                absent = self.rng.random() < 0.05
                out += struct.pack("<" + code, _MISSING[code] if absent else self.rng.randint(low, high))
            chosen = self.rng.sample(kept, self.rng.randint(0, len(kept))) if kept else []
            out.append(len(chosen))
            for at in chosen:
                out += struct.pack("<Bi", at, self.maker.values.integer(-(2**31), 2**31 - 1))
        return bytes(out)


def value_of_group(maker: Maker, ddi: str, text: str, part: str) -> Node:
    """Make a logged value; in one case of ten, one of a message on the machine's network."""
    message = {"DataLogPGN": None, "DataLogPGNStartBit": None, "DataLogPGNStopBit": None}
    if maker.chance(0.1):
        ddi = "DFFE"
        low = maker.rng.randint(0, 63)
        high = min(63, low + maker.rng.choice([0, 7, 31]))
        message = {"DataLogPGN": "65096", "DataLogPGNStartBit": str(low), "DataLogPGNStopBit": str(high)}
    return maker.element("DLV", ProcessDataDDI=ddi, ProcessDataValue=text, DeviceElementIdRef=part, **message)


def grid(maker: Maker, zones: dict[str, int], template: str | None) -> Node:
    """Make a grid over zones (code to number of values); of type 2 where a template zone is named."""
    rng = maker.rng
    name = maker.new_file("GRD")
    columns, rows = rng.choice([(1, 1), (3, 2), (7, 20 * maker.most)])
    cells = columns * rows
    if template is None:
        content = bytes(int(rng.choice(list(zones))) for _ in range(cells))
    else:
        numbers = [maker.values.integer(-(2**31), 2**31 - 1) for _ in range(cells * zones[template])]
        content = struct.pack(f"<{len(numbers)}i", *numbers)
    maker.files[f"{name}.BIN"] = content
    south, east = rng.choice([("54.25", "10.125"), ("-90.0", "-180"), ("42.0000001", "-93.4000000000001")])
    size = rng.choice(["0.000000001", "0.0001", "0.00054321"])
    return maker.element(
        "GRD",
        GridMinimumNorthPosition=south,
        GridMinimumEastPosition=east,
        GridCellNorthSize=size,
        GridCellEastSize=maker.values.decimal("0.00001", "0.01"),
        GridMaximumColumn=str(columns),
        GridMaximumRow=str(rows),
        Filename=name,
        Filelength=rng.choice([None, str(len(content))]),
        GridType="1" if template is None else "2",
        TreatmentZoneCode=template,
    )
