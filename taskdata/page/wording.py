"""Numbers and words of a page in the language and units of its reader."""

from __future__ import annotations

import math

from taskdata.dataclass import dataclass
from taskdata.findings import Fact, Finding
from taskdata.phrases import in_language
from taskdata.quantities.dictionary import entry
from taskdata.quantities.units import System
from taskdata.reports import words
from taskdata.reports.inspect_text import ACRE_M2, FOOT_M, HECTARE_M2
from taskdata.results.comparison import Difference, sentence
from taskdata.translations import LANGUAGES, translated

_MILE_M = 1609.344
_POINT_TO_COMMA = str.maketrans(",.", ".,")
_KM_H, _MPH = 3.6, 3600.0 / _MILE_M


@dataclass(frozen=True, slots=True)
class Wording:
    """How a page speaks.

    Parameters
    ----------
    language : str
        ``en`` or ``de``.
    units : "metric" or "us"
    """

    language: str = LANGUAGES[0]
    units: System = "metric"

    def t(self, text: str, **facts: object) -> str:
        """Return a text of the program in the language, with ``facts`` in its places."""
        found = translated(text, self.language)
        return found.format(**facts) if facts else found

    def message(self, finding: Finding) -> str:
        """Return what is wrong, as a sentence."""
        return self._said(finding, finding.rule.message)

    def remedy(self, finding: Finding) -> str:
        """Return what to do, as a sentence."""
        return self._said(finding, finding.rule.remedy)

    def difference(self, item: Difference) -> str:
        """Return a difference between two sets, as a sentence without a full stop."""
        return self.phrase(sentence(item))

    def phrase(self, text: str) -> str:
        """Return a text that lower floors put together; what is no phrase is data, and stays."""
        return in_language(text, self.t, comma=self._comma)

    def quantity(self, ddi: int) -> str:
        """Return what the data dictionary calls a quantity."""
        return self.t(entry(ddi).plain_name)

    def value(self, value: Fact) -> str:
        """Return what was or is in a place, blank for nothing."""
        if isinstance(value, float):
            text = words.spoken(value)
            return text.translate(_POINT_TO_COMMA) if self._comma else text
        return "" if value is None else self.phrase(value) if isinstance(value, str) else words.spoken(value)

    def number(self, value: float, digits: int = 2) -> str:
        """Return a number with so many decimals, and a thin mark between thousands."""
        if not math.isfinite(value):
            return "-"
        text = f"{value:,.{digits}f}"
        return text.translate(_POINT_TO_COMMA) if self._comma else text

    def short(self, value: float) -> str:
        """Return a number with four digits, or all before the point."""
        if value == 0.0 or not math.isfinite(value):
            return self.number(value, 0)
        digits = max(0, 3 - math.floor(math.log10(abs(value))))
        text = f"{value:,.{min(digits, 6)}f}"
        text = text.rstrip("0").rstrip(".") if "." in text else text
        return text.translate(_POINT_TO_COMMA) if self._comma else text

    def area(self, square_metres: float) -> str:
        """Return an area in hectares or acres, small ones in m² or ft²."""
        size, unit = (HECTARE_M2, "ha") if self.units == "metric" else (ACRE_M2, "ac")
        if abs(square_metres) < size / 100.0:
            return f"{self.number(square_metres, 0)} m²" if self.units == "metric" else self._square_feet(square_metres)
        return f"{self.number(square_metres / size, 2)} {unit}"

    def length(self, metres: float, digits: int = 1) -> str:
        """Return a length in metres or feet."""
        size, unit = (1.0, "m") if self.units == "metric" else (FOOT_M, "ft")
        return f"{self.number(metres / size, digits)} {unit}"

    def distance(self, metres: float) -> str:
        """Return a distance in kilometres or miles."""
        size, unit = (1000.0, "km") if self.units == "metric" else (_MILE_M, "mi")
        return f"{self.number(metres / size, 2)} {unit}"

    def speed(self, metres_a_second: float) -> str:
        """Return a speed in km/h or mph."""
        factor, unit = (_KM_H, "km/h") if self.units == "metric" else (_MPH, "mph")
        return f"{self.number(metres_a_second * factor, 1)} {unit}"

    def capacity(self, hectares_an_hour: float) -> str:
        """Return a capacity in ha/h or ac/h."""
        size, unit = (1.0, "ha/h") if self.units == "metric" else (ACRE_M2 / HECTARE_M2, "ac/h")
        return f"{self.number(hectares_an_hour / size, 2)} {unit}"

    def percent(self, share: float) -> str:
        """Return a share of one in per cent."""
        return f"{self.number(100.0 * share, 1)} %"

    def degrees(self, value: float) -> str:
        """Return a heading or angle."""
        return f"{self.number(value, 2)}°"

    def _said(self, finding: Finding, pattern: str) -> str:
        said = translated(pattern, self.language)
        speak = words.spoken if said == pattern else self._fact
        return words.said(finding, said, speak)

    def _fact(self, value: Fact) -> str:
        """Return a fact as it stands in a sentence."""
        return self.t("none") if value is None else self.value(value)

    @property
    def _comma(self) -> bool:
        """Whether a comma stands before decimals."""
        return self.language != LANGUAGES[0]

    def _square_feet(self, square_metres: float) -> str:
        return f"{self.number(square_metres / FOOT_M**2, 0)} ft²"
