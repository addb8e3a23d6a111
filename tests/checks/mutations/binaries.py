"""Faults in whole files and in binary ones: removed, renamed, cut, grown, in another encoding, with wrong values."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace

from tests.checks.mutations.engine import MAIN, SETS, Fault, Files, Node, Spot, in_tree, sound, tree

# Bytes of a record's fixed part are not counted here: cutting anywhere inside the last record is enough.
Change = Callable[[bytes], bytes]
CUT = {"TLG": "timelog", "GRD": "grid", "PNT": "points"}


def faults() -> Iterator[Fault]:
    """Yield the faults."""
    for source in SETS:
        for name in sound(source):
            yield from _file(source, name)
    yield from _headers()
    yield from _grids()
    yield from _records()


def _file(source: str, name: str) -> Iterator[Fault]:
    main = name == MAIN
    if not main:
        yield Fault("file removed", name, source, ("file.missing",), _without(name))
        yield Fault("file renamed", name, source, ("file.missing",), _renamed(name, f"X{name[1:]}"))
    if name.upper().endswith(".XML"):
        yield _whole("byte order mark", source, name, "file.byte-order-mark", lambda data: b"\xef\xbb\xbf" + data)
        yield _whole(
            "no XML declaration", source, name, "file.no-declaration", lambda data: data.partition(b"?>")[2].lstrip()
        )
        other = lambda data: data.replace(b'encoding="UTF-8"', b'encoding="ISO-8859-15"')  # noqa: E731
        yield _whole("another encoding declared", source, name, "file.other-encoding", other)
        if not main:
            yield _whole("XML cut", source, name, "file.unreadable", lambda data: data[: len(data) * 2 // 3])
    else:
        if name[:3].upper() in CUT:
            family = CUT[name[:3].upper()]
            yield _whole("binary file cut by a byte", source, name, family, lambda data: data[:-1])
            yield _whole("binary file emptied", source, name, f"{family} file model", lambda _: b"")
            yield _whole("binary file longer", source, name, family, lambda data: data + b"\x01\x02\x03")
        lower = name.lower() if name != name.lower() else f"{name[:3].capitalize()}{name[3:]}"
        yield Fault("file name in lower case", name, source, ("file.name-in-other-case",), _renamed(name, lower))
    extra = name.replace("0001", "0077") if "0001" in name else f"OLD{name}"
    yield Fault("file that nothing names", extra, source, ("file.unused",), _added(name, extra))


def _whole(kind: str, source: str, name: str, expected: str, change: Change) -> Fault:
    def put(files: Files) -> list[Spot]:
        files[name] = change(files[name])
        return [Spot(name, whole=True), *_naming(files, name), *_inside(files, name)]

    return Fault(kind, name, source, tuple(expected.split()), put)


def _naming(files: Files, name: str) -> list[Spot]:
    """Return the places of the elements that name a file, where a fault of the file may be told as well."""
    base = name.partition(".")[0].upper()
    text = files[MAIN].decode("utf-8", "replace").upper().splitlines()
    lines = {number for number, line in enumerate(text, 1) if f'"{base}"' in line or f'"{name.upper()}"' in line}
    return [Spot(MAIN, lines)]


def _without(name: str) -> Callable[[Files], Iterable[Spot]]:
    def put(files: Files) -> list[Spot]:
        del files[name]
        return [*_naming(files, name), *_inside(files, name)]

    return put


def _inside(files: Files, name: str) -> list[Spot]:
    """Return the places in external files that name a file."""
    base = name.partition(".")[0]
    found = []
    for other, content in files.items():
        if other.upper().endswith(".XML"):
            lines = content.decode("utf-8", "replace").splitlines()
            found.append(Spot(other, {number for number, line in enumerate(lines, 1) if f'"{base}"' in line}))
    return found


def _renamed(name: str, other: str) -> Callable[[Files], Iterable[Spot]]:
    def put(files: Files) -> list[Spot]:
        files[other] = files.pop(name)
        return [Spot(other, whole=True), *_naming(files, name), *_inside(files, name)]

    return put


def _added(name: str, other: str) -> Callable[[Files], Iterable[Spot]]:
    def put(files: Files) -> list[Spot]:
        files[other] = files[name]
        return [Spot(other, whole=True)]

    return put


def _headers() -> Iterator[Fault]:
    for source, name in (("machine", "TLG00001.XML"), ("machine", "TLG00002.XML"), ("older", "TLG00001.XML")):
        for kind, expected, change in (
            ("header with a second position", "timelog.two-positions", _second_position),
            ("header of another time type", "timelog.wrong-time-type schema", _time_type),
            ("header without a value", "timelog", _no_value),
            ("header with a strange part", "timelog.dangling-part", _strange_part),
            ("header with a fixed start", "timelog.fixed-start timelog", _fixed_start),
            ("header with a bad number", "timelog schema", _bad_number),
        ):
            yield _beside(in_tree(kind, name, source, expected, change, file=name), name, f"{name[:8]}.BIN")


def _beside(fault: Fault, *names: str) -> Fault:
    """Return the fault, which may also be told at other files as a whole: those that it makes unreadable."""

    def put(files: Files) -> list[Spot]:
        return [*fault.change(files), *(Spot(name, whole=True) for name in names)]

    return replace(fault, change=put)


def _second_position(root: Node) -> Iterator[Node]:
    position = root.find("PTN")
    again = root.makeelement("PTN", dict(position.attrib))
    root.insert(1, again)
    yield again


def _time_type(root: Node) -> Iterator[Node]:
    root.set("D", "1")
    yield root


def _no_value(root: Node) -> Iterator[Node]:
    value = root.findall("DLV")[-1]
    root.remove(value)
    yield root


def _strange_part(root: Node) -> Iterator[Node]:
    value = root.findall("DLV")[-1]
    value.set("C", "DET4242")
    yield value


def _fixed_start(root: Node) -> Iterator[Node]:
    root.set("A", "2024-04-18T07:00:00")
    yield root


def _bad_number(root: Node) -> Iterator[Node]:
    value = root.findall("DLV")[-1]
    value.set("A", "QQQQ")
    yield value


def _grids() -> Iterator[Fault]:
    for source, path in (
        ("office", "(//GRD)[1]"),
        ("office", "(//GRD)[2]"),
        ("machine", "(//GRD)[1]"),
        ("machine", "(//GRD)[2]"),
        ("older", "(//GRD)[1]"),
    ):
        for letter, kind in (("E", "a column too many"), ("F", "a row too many"), ("H", "a byte too many")):

            def more(root: Node, letter: str = letter, path: str = path) -> Iterator[Node]:
                grid = root.xpath(path)[0]
                grid.set(letter, str(int(grid.get(letter)) + 1))
                yield grid

            fault = in_tree(f"grid with {kind}", path, source, "grid.wrong-size file.wrong-length", more)
            yield _beside(fault, tree(source, MAIN).xpath(path)[0].get("G") + ".BIN")

        def zone(root: Node, path: str = path) -> Iterator[Node]:
            grid = root.xpath(path)[0]
            for item in grid.getparent().findall("TZN")[:1]:
                item.set("A", "99")
                yield item
            yield grid
            yield grid.getparent()

        def file(root: Node, path: str = path) -> Iterator[Node]:
            grid = root.xpath(path)[0]
            grid.set("G", "GRD00099")
            yield grid

        yield in_tree("grid whose zone has another code", path, source, "grid task zone", zone)
        yield in_tree("grid of another file", path, source, "file.missing", file)

    def code(files: Files) -> list[Spot]:
        files["GRD00001.BIN"] = bytes([200]) + files["GRD00001.BIN"][1:]
        return [Spot("GRD00001.BIN", whole=True), *_naming(files, "GRD00001.BIN")]

    yield Fault("grid with a code of no zone", "GRD00001.BIN", "office", ("grid.unknown-code",), code)


def _records() -> Iterator[Fault]:
    """Change bytes of the first record: its position in TLG00002 is two numbers after the six bytes of its time."""
    for name, at, value, expected in (
        ("TLG00002.BIN", 6, (910_000_000).to_bytes(4, "little"), "timelog"),
        ("TLG00002.BIN", 10, (1_900_000_000).to_bytes(4, "little"), "timelog"),
        ("TLG00002.BIN", 4, (60_000).to_bytes(2, "little"), "timelog"),
        ("TLG00002.BIN", 0, (90_000_000).to_bytes(4, "little"), "timelog"),
        ("TLG00002.BIN", 14, b"\xf0", "timelog"),
    ):

        def put(data: bytes, at: int = at, value: bytes = value) -> bytes:
            return data[:at] + value + data[at + len(value) :]

        yield _whole(f"record with wrong bytes at {at}", "machine", name, expected, put)
