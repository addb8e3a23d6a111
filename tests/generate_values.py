"""Values of attributes by their facts: boundaries, extremes and awkward texts, all of them allowed."""

from __future__ import annotations

from datetime import datetime, timedelta
from decimal import Decimal
from random import Random

from taskdata.isoxml.facts import AttributeFact
from taskdata.resources import table

AWKWARD = (
    "Moorkamp",
    "Süderwisch",
    "Großes Öhr",
    'Feld "am Deich"',
    "O'Brannoch & Söhne <Lohn>",
    " blank in front",
    "blank behind ",
    "  ",
    "tab\there",
    "line\nbreak",
    "carriage\rreturn",
    "\u05e9\u05d3\u05d4 \u05e6\u05e4\u05d5\u05df",
    "\u062d\u0642\u0644 \u0634\u0645\u0627\u0644\u064a",
    "\u202eright to left\u202c",
    "\U0001f69c\U0001f33e",
    "e\u0301 against \u00e9",
    "\u00a0hard blank\u00a0",
    "\u3000wide\u2003blanks\u2028",
    "\u7530\u5730 12",
    "]]> --> ?>",
    "{0} %s \\n $HOME",
    "=1+1",
    "NULL",
    "None",
    "0",
    "-0",
    "1e5",
    "true",
    "\u0000".replace("\u0000", "\ufffd"),
    "\x85next",
)
_LETTERS = "abcXYZ 019.,;:/'\"&<>äöüßÅñç€\u20ac\u4e2d\U0001f331=#\\|"
EPOCH = datetime(1980, 1, 1)
DDI = {row["hex"]: row for row in table("ddi")}
RATES = tuple(key for key, row in DDI.items() if row["group"] == "rate" and row["kind"] == "setpoint")
_PLAIN = tuple(key for key, row in DDI.items() if key not in {"DFFE", "DFFF", "0086", "0087", "0088"} and row["unit"])
_INTEGERS = {"xs:long", "xs:unsignedByte", "xs:unsignedShort", "xs:unsignedLong"}


class Values:
    """Draws values.

    Parameters
    ----------
    rng : Random
        Source of every choice.
    version : int
        VersionMajor of the set.
    awkward, odd : bool
        Whether texts are awkward, and numbers oddly spelled.
    """

    def __init__(self, rng: Random, version: int, *, awkward: bool, odd: bool) -> None:
        self.rng = rng
        self.version = version
        self.awkward = awkward
        self.odd = odd
        self.zone = rng.choice(["", "", "Z", "+02:00", "-11:30", "+14:00"]) if version >= 4 else ""
        self.now = EPOCH + timedelta(days=rng.choice([0, 44 * 365 + 70, 16495, 65000]), hours=5)

    def of(self, fact: AttributeFact) -> str:
        """Return an allowed value of an attribute that is neither identifier nor reference."""
        by_type = {
            "xs:NMTOKEN": lambda: self.code(fact),
            "xs:string": lambda: self.text(fact.max_length or 32),
            "xs:decimal": lambda: self.decimal(fact.minimum or "0", fact.maximum or "1", fact.fraction_digits),
            "xs:hexBinary": lambda: self.octets(self.rng.choice([fact.min_length or 1, fact.max_length or 1])),
            "xs:dateTime": self.stamp,
            "xs:anyURI": lambda: self.rng.choice(["9521234000006", "9521234000990"]),
        }
        if fact.type in by_type:
            return by_type[fact.type]()
        assert fact.type in _INTEGERS, f"{fact.element}.{fact.letter} of type {fact.type} has a maker of its own"
        return self.spelled(str(self.integer(int(fact.minimum or 0), int(fact.maximum or 1))))

    def code(self, fact: AttributeFact) -> str:
        """Return a value of an enumeration that this version has and has not withdrawn."""
        allowed = [
            value
            for value in fact.values
            if value.since <= self.version and (value.deprecated_in is None or value.deprecated_in > self.version)
        ]
        value = self.rng.choice(allowed)
        return str(self.rng.choice([value.low, value.high]))

    def text(self, longest: int) -> str:
        """Return a text of 1 to ``longest`` characters."""
        if not self.awkward:
            return self.rng.choice(["Moorkamp", "Ahrenbrook", "Lindhollen Nord", "A 1"])[:longest]
        if self.rng.random() < 0.7:
            return self.rng.choice(AWKWARD)[:longest]
        size = self.rng.choice([1, longest, self.rng.randint(1, longest)])
        return "".join(self.rng.choice(_LETTERS) for _ in range(size))

    def integer(self, low: int, high: int) -> int:
        """Return an integer, often a boundary."""
        near = [low, high, max(low, min(high, 0)), max(low, min(high, 1))]
        return self.rng.choice([*near, self.rng.randint(low, high), self.rng.randint(max(low, -999), min(high, 99999))])

    def spelled(self, text: str) -> str:
        """Return a number in another spelling now and then."""
        if not self.odd or self.rng.random() < 0.7:
            return text
        sign, digits = ("-", text[1:]) if text[0] == "-" else ("", text)
        return self.rng.choice([f"{sign or '+'}{digits}", f"{sign}0{digits}", f"{sign}00{digits}"])

    def decimal(self, low: str, high: str, digits: int | None = None) -> str:
        """Return a decimal number between two bounds."""
        if self.rng.random() < 0.2:
            return self.rng.choice([low, high])
        places = self.rng.choice([0, 1, 3, 7, 9, 13, 16]) if digits is None else self.rng.randint(0, digits)
        step = Decimal(1).scaleb(-places)
        span = int((Decimal(high) - Decimal(low)) / step)
        number = Decimal(low) + step * self.rng.randint(1, max(1, span))
        return self.number(min(number, Decimal(high)), places)

    def number(self, value: Decimal | float, places: int) -> str:
        """Return ``value`` with a number of places, at times oddly spelled."""
        text = f"{value:.{places}f}"
        if not self.odd or self.rng.random() < 0.8:
            return text
        if not places:
            return self.rng.choice([self.spelled(text), text + "."])
        bare = text.lstrip("-")
        if bare.startswith("0."):
            return text.replace("0.", ".", 1)
        return "-0.0" if not float(text) else self.spelled(text)

    def octets(self, count: int) -> str:
        text = self.rng.randbytes(count).hex()
        return text if self.rng.random() < 0.2 else text.upper()

    def stamp(self, seconds: int | None = None) -> str:
        """Return a time stamp a little later than the one before, ``seconds`` after it where given."""
        self.now += timedelta(seconds=self.rng.randint(60, 7200) if seconds is None else seconds)
        fraction = self.rng.choice(["", "", ".5", ".123"]) if seconds is None else ""
        return self.now.strftime("%Y-%m-%dT%H:%M:%S") + fraction + self.zone

    def ddi(self, ones: tuple[str, ...] = _PLAIN) -> str:
        return self.rng.choice(ones)

    def raw_of(self, ddi: str) -> str:
        """Return a raw value in the range that the dictionary gives."""
        row = DDI.get(ddi, {})
        low, high = -(2**31), 2**31 - 1
        if row.get("resolution") and row.get("min_display") and row.get("max_display"):
            step = Decimal(row["resolution"])
            low = max(low, int(Decimal(row["min_display"]) / step))
            high = min(high, int(Decimal(row["max_display"]) / step))
        return self.spelled(str(self.integer(low, high)))
