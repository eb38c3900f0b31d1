"""Added charge by makers' manuals, the slip exponent and the oil top-up rule: reviewed data (line_charge.toml)."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Literal

from pydantic import PositiveFloat
from scipy.constants import foot, inch, oz
from typing_extensions import TypeAliasType

from witnessmark import data
from witnessmark.calculations.metrology.ranges import within
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.reference import SourceId
from witnessmark.reference.library import Text

AdderLine = TypeAliasType("AdderLine", Literal["liquid", "suction"])
"""The line that an adder is for."""
ExpansionPlace = TypeAliasType("ExpansionPlace", Literal["indoor", "outdoor", "not stated"])
"""Where the expansion valve stands: indoors the narrow line holds liquid, outdoors two phases."""
SAME_SIZE = 3e-4  # m: inch and metric names of one tube differ by less
KG_PER_METRE = {"g/m": 1e-3, "oz/ft": oz / foot}


class AdderTable(data.Row):
    """What one manual prints for one line: added charge by size, in `unit`."""

    refrigerant: Text
    line: AdderLine
    expansion: ExpansionPlace
    unit: Literal["g/m", "oz/ft"]
    per_length: dict[str, PositiveFloat]
    source: SourceId

    def adders(self) -> tuple[Adder, ...]:
        """The figures in SI."""
        kind = (self.refrigerant, self.line, self.expansion)
        per_unit = KG_PER_METRE[self.unit]
        return tuple(Adder(*kind, size, mass * per_unit, self.source) for size, mass in self.per_length.items())


class SlipExponent(data.Row):
    """Exponent of the density ratio in the void fraction, with the uncertainty of the model."""

    exponent: Measured
    source: SourceId


class OilTopUpRule(data.Row):
    """Oil to add as a share of the charge, low and high, from this line length, m, on."""

    from_length: PositiveFloat
    share: tuple[PositiveFloat, PositiveFloat]
    source: SourceId


class ChargeRules(data.Row):
    """The tables of the data file."""

    slip: SlipExponent
    oil: OilTopUpRule
    adder: tuple[AdderTable, ...]


RULES = data.table(__package__, "line_charge.toml", ChargeRules)


@dataclass(frozen=True, slots=True)
class Adder:
    """Added charge that a manual prints for one outside diameter, kg/m."""

    refrigerant: str
    line: AdderLine
    expansion: ExpansionPlace
    size: str
    per_length: float
    source: str

    @property
    def outside(self) -> float:
        """Outside diameter, m, of a size in inches (with a fraction) or in mm."""
        return outside_diameter(self.size)


@dataclass(frozen=True, slots=True)
class OilTopUp:
    """Oil to add for long lines, kg; both 0 where the lines are short."""

    low: float
    high: float
    source: str


def outside_diameter(size: str) -> float:
    """Outside diameter, m, of a size such as `1-1/8` (inches) or `15.88` (mm).

    >>> round(outside_diameter("1-1/8"), 6), round(outside_diameter("15.88"), 6)
    (0.028575, 0.01588)
    """
    if "/" not in size:
        return float(size) / 1e3
    whole, _, fraction = size.rpartition("-")
    over, under = fraction.split("/")
    return (float(whole or 0) + float(over) / float(under)) * inch


@cache
def adders() -> tuple[Adder, ...]:
    """All published adders.

    >>> len(adders())
    43
    """
    return tuple(adder for table in RULES().adder for adder in table.adders())


def published(designation: str, outside: float, line: AdderLine = "liquid") -> tuple[Adder, ...]:
    """What manuals print for this refrigerant, line and outside diameter [m]; may be empty.

    >>> [(a.expansion, a.per_length) for a in published("R-22", 0.00635)]
    [('indoor', 0.03), ('outdoor', 0.015)]
    """
    fits = (a for a in adders() if a.refrigerant == designation and a.line == line)
    return tuple(a for a in fits if abs(a.outside - outside) < SAME_SIZE)


def oil_top_up(charge: float, line_length: float) -> OilTopUp:
    """Oil to add [kg] for a charge [kg] and a line length [m]: a share of the charge once the line is long.

    OutOfRangeError (fields `charge`, `line_length`) for negative ones. A compressor maker's rule; see its source.

    >>> oil_top_up(20.0, 40.0).low, oil_top_up(20.0, 40.0).high, oil_top_up(20.0, 20.0).high
    (0.2, 0.4, 0.0)
    """
    within("charge", charge, (0.0, 1e6), "mass")
    within("line_length", line_length, (0.0, 1e4), "length")
    rule = RULES().oil
    low, high = (share * charge if line_length > rule.from_length else 0.0 for share in rule.share)
    return OilTopUp(low, high, rule.source)
