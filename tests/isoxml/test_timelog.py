"""Binary time logs against a second, slow decoder written from the list of fields of ISO 11783-10, 8.6.3."""

import io
import struct
from datetime import date

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from taskdata.errors import UsageError
from taskdata.isoxml.reading.parse import parse_xml
from taskdata.isoxml.timelog.decode import decode
from taskdata.isoxml.timelog.encode import encode
from taskdata.isoxml.timelog.files import header_of
from taskdata.isoxml.timelog.lanes import chain
from taskdata.isoxml.timelog.layout import Layout, LogHeader
from taskdata.isoxml.timelog.log import TimeLog
from taskdata.isoxml.timelog.walk import BLOCK, LANES, Run, stretches
from taskdata.raised_rules.timelog.bad_constant import RULE as BAD_CONSTANT
from taskdata.raised_rules.timelog.cut_record import RULE as CUT_RECORD
from taskdata.raised_rules.timelog.field_cannot_be_stored import RULE as FIELD_CANNOT_BE_STORED
from taskdata.raised_rules.timelog.fixed_start import RULE as FIXED_START
from taskdata.raised_rules.timelog.no_count_octet import RULE as NO_COUNT_OCTET
from taskdata.raised_rules.timelog.too_many_values import RULE as TOO_MANY_VALUES
from taskdata.raised_rules.timelog.trailing_bytes import RULE as TRAILING_OCTETS
from taskdata.raised_rules.timelog.value_index_out_of_range import RULE as VALUE_INDEX_OUT_OF_RANGE

# Fields in file order: part of the header, attribute, struct codes, names (ISO 11783-10:2015, 8.6.3).
TABLE = """
time A IH TimeStartTimeOfDay TimeStartDate
position A i PositionNorth
position B i PositionEast
position C i PositionUp
position D B PositionStatus
position E H PDOP
position F H HDOP
position G B NumberOfSatellites
position H I GpsUtcTime
position I H GpsUtcDate
"""
FIELDS = [tuple(line.split()[:3]) for line in TABLE.strip().splitlines()]
NAMES = [name for line in TABLE.strip().splitlines() for name in line.split()[3:]]
DLV = {"A": "0001", "B": "", "C": "DET-1"}


def slow_decode(data, stored, counted=True):
    """Read record by record with struct; return whole records as (fixed numbers, [(index, value)]) and the rest."""
    fixed = "<" + "".join(code for part, letter, code in FIELDS if (part, letter) in stored)
    size, at, records = struct.calcsize(fixed), 0, []
    fills = [bytes([octet]) * (size + counted) for octet in (0, 255)] if ("time", "A") in stored else []
    while at + size + counted <= len(data):
        if any(data[at:].startswith(fill) and not data[at:].strip(fill[:1]) for fill in fills):
            break
        end = at + size + counted
        count = data[end - 1] if counted else 0
        if end + 5 * count > len(data):
            break
        pairs = [struct.unpack_from("<Bi", data, end + 5 * i) for i in range(count)]
        records.append((struct.unpack_from(fixed, data, at), pairs))
        at = end + 5 * count
    return records, data[at:]


def header(stored, values=3, order=lambda letters: letters):
    time = {"D": "4"} | {letter: "" for part, letter in stored if part == "time"}
    position = dict.fromkeys(order([letter for part, letter in stored if part == "position"]), "")
    return LogHeader(time, position or None, (DLV,) * values)


def agree(log, records):
    names = [field.name for field in log.layout.fields]
    assert [tuple(int(row[name]) for name in names) for row in log.rows] == [fixed for fixed, _ in records]
    pairs = list(zip(log.record.tolist(), log.index.tolist(), log.value.tolist(), strict=True))
    assert pairs == [(number, *pair) for number, (_, stored) in enumerate(records) for pair in stored]


@st.composite
def files(draw):
    """Return (stored attributes, file) with records that may repeat in runs, and perhaps a rest."""
    stored = draw(st.sets(st.sampled_from([(part, letter) for part, letter, _ in FIELDS])))
    fixed = "<" + "".join(code for part, letter, code in FIELDS if (part, letter) in stored)
    out = bytearray()
    for _ in range(draw(st.integers(0, 6))):
        count = draw(st.sampled_from([0, 1, 2, 5, 255]))
        head = draw(st.binary(min_size=struct.calcsize(fixed), max_size=struct.calcsize(fixed)))
        pairs = b"".join(
            struct.pack("<Bi", i % 3, draw(st.integers(-(2**31), 2**31 - 1))) for i in range(min(count, 5))
        )
        pairs += bytes(5 * count - len(pairs))
        out += (head + bytes([count]) + pairs) * draw(st.sampled_from([1, 2, 70, 300]))
    return stored, bytes(out) + draw(st.binary(max_size=12))


@settings(max_examples=60, deadline=None)
@given(files(), st.randoms(use_true_random=False))
def test_decoder_agrees_with_struct_loop_and_encodes_the_same_bytes(file, random):
    stored, data = file
    layout = Layout.of(header(stored, order=lambda letters: random.sample(letters, len(letters))))
    log = decode(data, layout)
    records, rest = slow_decode(data, stored)
    agree(log, records)
    assert log.trailing == rest
    assert encode(log) == data


def small_file():
    fixed = struct.pack("<IHiiBB", 36_000_000, 17130, 524_000_000, 95_000_000, 4, 2)
    return b"".join(fixed + struct.pack("<BiBi", 0, 1000 + i, 1, -i) for i in range(4))


STORED = {("time", "A"), ("position", "A"), ("position", "B"), ("position", "D")}


def test_every_truncation_gives_the_whole_records_and_one_finding():
    data = small_file()
    layout = Layout.of(header(STORED))
    for length in range(len(data) + 1):
        log = decode(data[:length], layout, file="TLG00001.BIN")
        records, rest = slow_decode(data[:length], STORED)
        agree(log, records)
        assert log.trailing == rest
        assert encode(log) == data[:length]
        assert len(log.findings) == (1 if rest else 0)
        for finding in log.findings:
            assert finding.rule in (CUT_RECORD, TRAILING_OCTETS)
            assert (finding.place.file, finding.place.offset) == ("TLG00001.BIN", length - len(rest))
            assert finding.rule.message.format(**finding.facts)


def test_every_octet_damaged_is_read_without_failure_and_written_back_alike():
    layout = Layout.of(header(STORED))
    for at in range(len(small_file())):
        for octet in (0, 1, 3, 254, 255):
            data = bytearray(small_file())
            data[at] = octet
            log = decode(data, layout)
            agree(log, slow_decode(bytes(data), STORED)[0])
            assert encode(log) == data


def test_padding_is_told_from_a_cut_record():
    layout = Layout.of(header(STORED))
    assert decode(small_file() + b"\xff" * 9, layout).findings[0].rule is TRAILING_OCTETS
    assert decode(small_file() + small_file()[:9], layout).findings[0].rule is CUT_RECORD


@pytest.mark.parametrize("fill", [0x00, 0xFF])
@pytest.mark.parametrize("octets", [1, 17, 18, 19, 1_000, 70_000, 200_000])
@pytest.mark.parametrize("whole", [small_file(), b""], ids=["after records", "alone"])
def test_padding_of_any_length_is_no_record(fill, octets, whole):
    """A record of zeros would be one of 1980-01-01, the day that days count from (ISO 11783-10, 8.6.3)."""
    layout = Layout.of(header(STORED))
    data = whole + bytes([fill]) * octets
    log = decode(data, layout, file="TLG00001.BIN")
    agree(log, slow_decode(whole, STORED)[0])
    assert log.trailing == data[len(whole) :]
    assert [(item.rule, item.facts["octets"]) for item in log.findings] == [(TRAILING_OCTETS, octets)]
    assert encode(log) == data


def test_a_last_record_that_ends_with_zeros_is_no_padding():
    layout = Layout.of(header(STORED))
    last = struct.pack("<IHiiBB", 36_000_000, 17130, 524_000_000, 95_000_000, 4, 2) + struct.pack("<BiBi", 0, 0, 0, 0)
    data = small_file() + last
    assert len(decode(data, layout)) == 5
    assert len(decode(data + bytes(40), layout)) == 5
    assert decode(data + bytes(40), layout).trailing == bytes(40)


@pytest.mark.parametrize("kind", ["constant", "runs", "random", "spikes", "full"])
def test_large_logs_over_many_blocks(kind):
    random = np.random.default_rng(7)
    size = 60_000
    counts = {
        "constant": np.full(size, 6),
        "runs": np.repeat(random.integers(0, 13, size // 200), 200),
        "random": random.integers(0, 13, size),
        "spikes": np.where(random.random(size) < 0.02, 12, 4),
        "full": np.full(6_000, 255),
    }[kind]
    data = b"".join(struct.pack("<iB", i, n) + b"\x02\x01\x00\x00\x80" * int(n) for i, n in enumerate(counts))
    assert len(data) > BLOCK
    log = decode(data, Layout.of(header({("position", "A")})))
    assert log.counts.tolist() == counts.tolist()
    assert log.column("PositionNorth").tolist() == list(range(len(counts)))
    assert log.record.tolist() == np.repeat(np.arange(len(counts)), counts).tolist()
    assert set(log.value.tolist()) == {-(2**31) + 1}
    assert encode(log) == data


def counts_of(kind, random):
    """Return bytes of some kind, as counts of values at each offset."""
    made = {
        "any": lambda: random.integers(0, 256, 40_000),
        "small": lambda: random.integers(0, 14, 40_000),
        "zeros and full": lambda: random.choice([0, 255], 40_000),
        "zeros": lambda: np.zeros(40_000),
        "in step": lambda: np.tile([2, 0, 0, 255, 0], 8_000),
        "dense after sparse": lambda: np.concatenate([np.full(20_000, 200), np.zeros(20_000)]),
        "sparse after dense": lambda: np.concatenate([np.zeros(20_000), np.full(20_000, 200)]),
    }
    return made[kind]().astype(np.uint8)


@pytest.mark.parametrize("head", [1, 5, 16])
@pytest.mark.parametrize("segment", [64, 1_000, 9_000, 100_000])
@pytest.mark.parametrize(
    "kind", ["any", "small", "zeros and full", "zeros", "in step", "dense after sparse", "sparse after dense"]
)
def test_lanes_come_to_the_same_records_as_steps_one_by_one(kind, segment, head):
    counts = counts_of(kind, np.random.default_rng(segment + head))
    steps = head + 5 * np.arange(256)
    for whole in (counts, counts[1:], counts[:7_777], counts[:1]):
        expected, at = [], 0
        while at < len(whole):
            expected.append(at)
            at += head + 5 * int(whole[at])
        assert chain(whole, steps, segment).tolist() == expected


@settings(max_examples=60, deadline=None)
@given(st.binary(min_size=1, max_size=3_000), st.integers(1, 31), st.integers(1, 800))
def test_lanes_come_to_the_same_records_in_any_bytes(data, head, segment):
    whole = np.frombuffer(data, np.uint8)
    expected, at = [], 0
    while at < len(whole):
        expected.append(at)
        at += head + 5 * int(whole[at])
    assert chain(whole, head + 5 * np.arange(256), segment).tolist() == expected


@pytest.mark.parametrize("cut", [0, 1, 40])
def test_a_log_large_enough_for_lanes_reads_as_a_structure_walked_one_by_one(cut):
    random = np.random.default_rng(11)
    counts = random.integers(0, 13, LANES // 35 + 20_000)
    ends = np.cumsum(5 + 5 * counts)
    octets = random.integers(0, 256, int(ends[-1]), dtype=np.uint8)
    octets[ends - 5 * counts - 1] = counts
    octets = octets[: len(octets) - cut]
    assert len(octets) > LANES
    log = decode(octets, Layout.of(header({("position", "A")}, values=13)))
    whole = np.searchsorted(ends, len(octets), side="right")
    assert log.counts.tolist() == counts[:whole].tolist()
    assert encode(log) == octets.tobytes()
    heads = (ends - 5 * counts - 5)[:whole]
    assert log.rows.view(np.uint8).reshape(-1, 5)[::997].tolist() == [
        octets[at : at + 5].tolist() for at in heads[::997]
    ]


def test_runs_are_proved_not_guessed():
    # 300 records without values, then one with a value: the stride fits the first 300 only.
    data = bytes(5) * 300 + b"\0\0\0\0\x01" + b"\x00\x05\0\0\0" + bytes(5) * 3
    found, end = stretches(np.frombuffer(data, np.uint8), 5)
    assert found[0] == Run(0, 300, 0)
    assert sum(stretch.records for stretch in found) == 304
    assert end == len(data)


def test_memory_mapped_file(tmp_path):
    path = tmp_path / "TLG00001.BIN"
    path.write_bytes(small_file())
    log = decode(np.memmap(path, dtype=np.uint8, mode="r"), Layout.of(header(STORED)))
    agree(log, slow_decode(small_file(), STORED)[0])


def day_file(days):
    return b"".join(struct.pack("<IHiiiB", 1500, day, -1, 0x7FFFFFFF, 12_345, 0) for day in days)


# Days since 1980-01-01: proleptic Gregorian calendar arithmetic.
DAYS = {7305: date(2000, 1, 1), 13041: date(2015, 9, 15), 16130: date(2024, 2, 29), 17130: date(2026, 11, 25)}


def test_days_markers_and_heights():
    stored = {("time", "A"), ("position", "A"), ("position", "B"), ("position", "C")}
    log = decode(day_file([*DAYS, 0xFFFF]), Layout.of(header(stored)))
    assert log.time()[:-1].tolist() == [
        np.datetime64(day.isoformat() + "T00:00:01.500", "ms").item() for day in DAYS.values()
    ]
    assert np.isnat(log.time()[-1])
    assert np.isnan(log.latitude()).all()  # -1 is the marker
    assert np.isnan(log.longitude()).all()  # 7FFFFFFF: common practice
    assert (log.up_m() == 12.345).all()
    assert np.isnat(log.utc()).all()


def test_utc_and_quality_fields():
    stored = {("position", letter) for letter in "EFGHI"}
    data = struct.pack("<HHBIHB", 12, 0xFFFF, 17, 86_399_999, 7305, 0)
    log = decode(data, Layout.of(header(stored)))
    assert log.utc()[0] == np.datetime64("2000-01-01T23:59:59.999")
    assert log.measure("PDOP")[0] == 1.2
    assert np.isnan(log.measure("HDOP")[0])
    assert log.measure("NumberOfSatellites")[0] == 17
    assert np.isnat(log.time()[0])
    no_day, no_time = struct.pack("<IH", 86_399_999, 0xFFFF), struct.pack("<IH", 0xFFFFFFFF, 7305)
    half = decode(no_day + b"\0" + no_time + b"\0", Layout.of(header({("position", "H"), ("position", "I")})))
    assert np.isnat(half.utc()).all()


@pytest.mark.parametrize(
    ("text", "milliseconds"), [("", 0), (".5", 500), (".25", 250), (".125", 125), (".1259", 125), (".5Z", 500)]
)
def test_fractions_of_a_second_of_any_length(text, milliseconds):
    """XML Schema part 2, 3.2.7: any number of digits; a moment is kept to the millisecond."""
    layout = Layout.of(LogHeader({"A": f"2026-05-04T08:00:00{text}", "D": "4"}, None, (DLV,)))
    (moment,) = decode(b"\0", layout).time()
    assert moment == np.datetime64("2026-05-04T08:00:00") + np.timedelta64(milliseconds, "ms")


def test_positions_are_exact_and_out_of_range_stays_a_number():
    data = struct.pack("<iiB", 524_123_456, 2_000_000_000, 0)
    log = decode(data, Layout.of(header({("position", "A"), ("position", "B")})))
    assert (log.latitude()[0], log.longitude()[0]) == (52.4123456, 200.0)


def test_constants_of_the_header_hold_for_all_records():
    start = {"A": "2026-05-04T08:00:00.250+02:00", "D": "4"}
    position = {"A": "52.25", "B": "", "C": "31", "D": "4", "E": "1.5"}
    layout = Layout.of(LogHeader(start, position, ({"A": "0074", "B": "7", "C": "DET-2"}, DLV)), "TLG00001.XML")
    log = decode(struct.pack("<iB", 95_000_000, 0) * 2, layout)
    assert [field.name for field in layout.fields] == ["PositionEast"]
    assert log.latitude().tolist() == [52.25, 52.25]
    assert log.up_m().tolist() == [0.031, 0.031]
    assert log.time().tolist() == [np.datetime64("2026-05-04T08:00:00.250").item()] * 2
    assert (layout.values[0].ddi, layout.values[0].element, layout.values[0].constant) == (0x74, "DET-2", 7)
    assert layout.values[1].constant is None
    assert [finding.rule for finding in layout.findings] == [FIXED_START]
    with pytest.raises(KeyError):
        log.column("PositionNorth")


@pytest.mark.parametrize(
    ("time", "position", "value", "rule", "name"),
    [
        ({"A": "", "B": "", "D": "4"}, {}, DLV, FIELD_CANNOT_BE_STORED, "Stop"),
        ({"A": "", "C": "", "D": "4"}, {}, DLV, FIELD_CANNOT_BE_STORED, "Duration"),
        ({"A": "", "D": ""}, {}, DLV, FIELD_CANNOT_BE_STORED, "Type"),
        ({"A": ""}, {}, {"A": "", "B": "", "C": "DET-1"}, FIELD_CANNOT_BE_STORED, "ProcessDataDDI"),
        ({"A": ""}, {"C": "12 m"}, DLV, BAD_CONSTANT, "PositionUp"),
        ({"A": ""}, {"C": "1.5"}, DLV, BAD_CONSTANT, "PositionUp"),
        ({"A": ""}, {"A": "NaN"}, DLV, BAD_CONSTANT, "PositionNorth"),
        ({"A": "2026-02-30T00:00:00"}, {}, DLV, BAD_CONSTANT, "Start"),
        ({"A": "yesterday"}, {}, DLV, BAD_CONSTANT, "Start"),
        ({"A": ""}, {}, {"A": "XYZ1", "B": "", "C": "DET-1"}, BAD_CONSTANT, "ProcessDataDDI"),
        ({"A": ""}, {}, {"A": "0001", "B": "much", "C": "DET-1"}, BAD_CONSTANT, "ProcessDataValue"),
    ],
)
def test_faults_of_the_header(time, position, value, rule, name):
    (finding,) = Layout.of(LogHeader(time, position, (value,)), "TLG00001.XML").findings
    assert finding.rule is rule
    assert finding.facts["name"] == name
    assert finding.place.file == "TLG00001.XML"


def test_faults_of_the_header_tell_their_line():
    text = b"""<TIM A="" D="4">
  <PTN A="" B="" D="many"/>
  <DLV A="0001" B="" C="DET1"/>
  <DLV A="XYZ1" B="" C="DET1"/>
</TIM>"""
    header = header_of(parse_xml(io.BytesIO(text), "TLG00001.XML").root)
    found = Layout.of(header, "TLG00001.XML").findings
    assert {(finding.facts["name"], finding.place.line) for finding in found} == {
        ("PositionStatus", 2),
        ("ProcessDataDDI", 4),
    }


def test_fields_that_do_not_fit_a_record_take_no_octets():
    plain = Layout.of(LogHeader({"A": ""}, {"A": ""}, (DLV,)))
    assert Layout.of(LogHeader({"A": "", "B": "", "D": ""}, {"A": ""}, (DLV,))).dtype == plain.dtype


def test_too_many_values():
    (finding,) = Layout.of(header(STORED, values=256)).findings
    assert finding.rule is TOO_MANY_VALUES
    assert Layout.of(header(STORED, values=255)).findings == ()


def test_index_out_of_range_is_kept_and_reported_with_its_place():
    data = struct.pack("<iB", 1, 0) + struct.pack("<iBBiBi", 2, 2, 0, 10, 3, 20) + struct.pack("<iBBi", 3, 1, 9, 30)
    log = decode(data, Layout.of(header({("position", "A")}, values=3)), file="TLG00001.BIN")
    (finding,) = log.findings
    assert finding.rule is VALUE_INDEX_OUT_OF_RANGE
    assert (finding.place.record, finding.place.offset) == (1, 15)
    assert data[15] == 3  # the offset is that of the index octet
    assert finding.facts == {"index": 3, "count": 2, "listed": 3}
    assert log.series(9)[1].tolist() == [30]
    assert encode(log) == data


def test_log_without_values_with_and_without_count_octet():
    layout = Layout.of(header({("position", "A"), ("position", "B")}, values=0))
    with_octet = struct.pack("<iiB", 5, 6, 0) * 3
    without = struct.pack("<ii", 5, 6) * 3
    read = decode(with_octet, layout)
    assert (len(read), read.findings) == (3, ())
    read = decode(without, layout)
    assert [finding.rule for finding in read.findings] == [NO_COUNT_OCTET]
    assert read.column("PositionEast").tolist() == [6, 6, 6]
    assert read.record.size == 0
    assert encode(read) == without
    assert encode(read.take(np.array([True, False, True]))) == without[:16]
    # nothing makes sense of 17 octets: the standard's form is taken
    assert decode(without[:17], layout).findings[0].rule is CUT_RECORD


def test_series():
    data = struct.pack("<BBiBi", 2, 0, 7, 1, -1) + struct.pack("<B", 0) + struct.pack("<BBi", 1, 1, -2)
    log = decode(data, Layout.of(LogHeader({"D": "4"}, None, (DLV, DLV))))
    record, value = log.series(1)
    assert (record.tolist(), value.tolist()) == ([0, 2], [-1, -2])


@settings(max_examples=30, deadline=None)
@given(files(), st.data())
def test_take_selects_records_with_their_values(file, draw):
    stored, data = file
    log = decode(data, Layout.of(header(stored)))
    mask = np.array(draw.draw(st.lists(st.booleans(), min_size=len(log), max_size=len(log))), dtype=bool)
    part = log.take(mask)
    expected = [record for record, chosen in zip(slow_decode(data, stored)[0], mask, strict=True) if chosen]
    agree(part, expected)
    agree(decode(encode(part), log.layout), expected)


def test_append_joins_records():
    log = decode(small_file(), Layout.of(header(STORED)))
    assert encode(log.append(log)) == small_file() * 2
    with pytest.raises(UsageError, match="same header"):
        log.append(decode(b"", Layout.of(header(STORED, values=1))))


def test_build_from_columns():
    layout = Layout.of(header({("position", "A")}))
    log = TimeLog.build(layout, {"PositionNorth": [10, 20]}, record=[0, 0, 1], index=[0, 2, 1], value=[1, -2, 3])
    assert encode(log) == struct.pack("<iBBiBi", 10, 2, 0, 1, 2, -2) + struct.pack("<iBBi", 20, 1, 1, 3)


@pytest.mark.parametrize(
    ("columns", "record", "index", "value", "why"),
    [
        ({}, [], [], [], "those of its layout, all of one length"),
        ({"PositionNorth": [2**31]}, [], [], [], "PositionNorth of a time log takes integers from -2147483648 to 2147"),
        ({"PositionNorth": [1.5]}, [], [], [], "PositionNorth of a time log takes integers"),
        ({"PositionNorth": [1, 2]}, [1, 0], [0, 0], [0, 0], "in the order of their records"),
        ({"PositionNorth": [1]}, [1], [0], [0], "names record 1, but the time log has 1"),
        ({"PositionNorth": [1]}, [0], [256], [0], "value index of a time log takes integers from 0 to 255"),
        ({"PositionNorth": [1]}, [0], [0], [2**31], "value of a time log takes integers from -2147483648 to 21474"),
        ({"PositionNorth": [1]}, [0] * 256, [0] * 256, [0] * 256, "can hold 255 values"),
        ({"PositionNorth": [1]}, [0], [0, 1], [0], "must be of one length"),
    ],
)
def test_build_refuses_what_no_file_can_hold(columns, record, index, value, why):
    with pytest.raises(UsageError, match=why):
        TimeLog.build(Layout.of(header({("position", "A")})), columns, record, index, value)


def test_a_log_without_a_count_octet_holds_no_values():
    layout = Layout.of(header({("position", "A")})).uncounted()
    assert encode(TimeLog.build(layout, {"PositionNorth": [10]}, [], [], [])) == struct.pack("<i", 10)
    with pytest.raises(UsageError, match="can hold 0 values"):
        TimeLog.build(layout, {"PositionNorth": [10]}, [0], [0], [1])


def test_selection_of_wrong_length_is_refused():
    log = decode(small_file(), Layout.of(header(STORED)))
    with pytest.raises(UsageError):
        log.take([True])


def test_names_follow_the_standard():
    every = {(part, letter) for part, letter, _ in FIELDS}
    assert list(Layout.of(header(every)).dtype.names) == [*NAMES, "DLVCount"]
