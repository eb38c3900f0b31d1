"""How much of a flammable refrigerant a closed room may take, and how large a room a charge needs.

SI: kg, m2, m. All of the charge is taken to leak into one room, at one height, and to sink: heavier-than-air
refrigerants of classes A2L, A2 and A3. Caps are volumes times the lower flammability limit L (kg/m3): up to m1 any room
will do, up to m2 the room must be large enough, up to m3 ventilation or other measures must make up for it, above m3 it
is not for such a room at all. Between m1 and m2: m = 2.5 L^(5/4) h sqrt(A), h the release height (m), A the area (m2).
Sources: IEC 60335-2-40 annex GG, EN 378-1 annex C, ISO 5149-1 annex A, as far as published.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal

from typing_extensions import TypeAliasType

from witnessmark import data
from witnessmark.calculations.metrology.limits import Limit, Ruling, side
from witnessmark.calculations.metrology.ranges import within
from witnessmark.calculations.metrology.ratios import difference
from witnessmark.calculations.metrology.uncertainty import COVERAGE, Measured, propagate
from witnessmark.errors import InputError
from witnessmark.reference import SourceId
from witnessmark.refrigerants import catalogue

Mounting = TypeAliasType("Mounting", Literal["floor", "window", "wall", "ceiling"])
"""Where the indoor unit hangs, which decides how high a leak comes out."""
Appliance = TypeAliasType("Appliance", Literal["room-unit", "plug-in-cabinet", "outdoors"])
"""What holds the charge: a unit that serves a room, a case or cabinet with its circuit built in, a machine outdoors."""
RoomVerdict = TypeAliasType(
    "RoomVerdict",
    Literal[
        "no room limit",
        "room large enough",
        "room size needed",
        "cannot tell",
        "room too small",
        "ventilation or other measures needed",
        "not for such a room",
    ],
)
"""What a charge means for a room, mildest first: the worst that a standard says counts."""
CHARGES = (1e-3, 1e5)
AREAS = (0.1, 1e5)
HEIGHTS = (0.0, 20.0)
COEFFICIENT, POWER = 2.5, 1.25
"""Of the room formula, kg, m and kg/m3."""
CANNOT: Literal["cannot tell"] = "cannot tell"
_ORDER: tuple[RoomVerdict, ...] = RoomVerdict.__value__.__args__


class ChargeRule(data.Row):
    """A standard: caps by safety class, m3; share of the lower limit that a small room may reach on average."""

    text: str
    A2L: tuple[float, float, float]
    A2: tuple[float, float, float]
    A3: tuple[float, float, float]
    small_room: float | None = None
    source: SourceId

    def caps(self, safety_class: str, lower_limit: float) -> tuple[float, float, float]:
        """m1, m2 and m3, kg, for the lower flammability limit in kg/m3.

        Example: class A3 at 0.038 kg/m3: 4, 26 and 130 m3 are 0.152, 0.988 and 4.94 kg.
        """
        m1, m2, m3 = {"A2L": self.A2L, "A2": self.A2, "A3": self.A3}[safety_class]
        return m1 * lower_limit, m2 * lower_limit, m3 * lower_limit

    def most(self, lower_limit: float, height: float, area: float) -> float:
        """Charge that a closed room may take, kg, caps aside.

        Example: 0.307 kg/m3, 0.6 m, 7 m2: 2.5 * 0.307^1.25 * 0.6 * sqrt(7) = 0.907 kg.
        """
        by_room: float = COEFFICIENT * lower_limit**POWER * height * math.sqrt(area)
        return by_room if self.small_room is None else min(by_room, self.small_room * lower_limit * height * area)

    def least_area(self, lower_limit: float, height: float, charge: float) -> float:
        """The least area, m2, that a charge needs, caps aside: the inverse of `most`.

        Example: 0.307 kg/m3, 0.6 m, 1.84 kg: (1.84 / (2.5 * 0.307^1.25 * 0.6))^2 = 28.8 m2.
        """
        by_room: float = (charge / (COEFFICIENT * lower_limit**POWER * height)) ** 2
        return by_room if self.small_room is None else max(by_room, charge / (self.small_room * lower_limit * height))


class ReleaseHeights(data.Row):
    """By mounting, m; nothing below `least` counts, nor above `ceiling`: the formulas know no higher release."""

    floor: float
    window: float
    wall: float
    ceiling: float
    least: float
    source: SourceId

    def counted(self, height: float) -> float:
        """The height that counts for a leak at that one, m."""
        return min(max(height, self.least), self.ceiling)

    def of(self, mounting: Mounting) -> float:
        """The height of a mounting, m."""
        return {"floor": self.floor, "window": self.window, "wall": self.wall, "ceiling": self.ceiling}[mounting]


class FlammableTable(data.Row):
    """The data file."""

    lower_limit: dict[str, Limit]
    rules: dict[str, ChargeRule]
    heights: ReleaseHeights


TABLE = data.table(__package__, "flammable_charge.toml", FlammableTable)


@dataclass(frozen=True, slots=True)
class ByStandard:
    """What one standard says: caps, kg; the most this room may take, kg, and the least area, m2.

    most: at least m1, which any room may take; None without a room. least_area: None up to m1, where any room will do,
    and above m2, where none does alone.
    """

    standard: str
    source: str
    m1: float
    m2: float
    m3: float
    most: Measured | None
    least_area: float | None
    verdict: RoomVerdict


@dataclass(frozen=True, slots=True)
class FlammableCharge:
    """The worst verdict of the standards, the standard that gives it, and all of them. height: m, as it counted."""

    verdict: RoomVerdict
    decided_by: str
    safety_class: str
    lower_limit: Ruling
    height: float
    standards: tuple[ByStandard, ...]


def lower_limit(refrigerant: str) -> Ruling:
    """The lower flammability limit, kg/m3; InputError (refrigerant) with the reason where these rules do not apply.

    >>> lower_limit("R-32").value
    0.306
    """
    safety_class, known = catalogue.get(refrigerant).safety_class, TABLE().lower_limit
    accepted = ", ".join(known)
    if safety_class.endswith("1"):
        raise InputError("refrigerant", f"class {safety_class} does not propagate a flame: no such limit", accepted)
    if safety_class.startswith("B"):
        raise InputError(
            "refrigerant", f"class {safety_class}: its toxicity limits the charge, not its flame", accepted
        )
    if refrigerant not in known:
        raise InputError("refrigerant", "its lower flammability limit is not known here", accepted)
    return known[refrigerant].rule()


def flammable_charge(
    refrigerant: str, charge: Measured, height: float, area: Measured | None = None
) -> FlammableCharge:
    """Judge a charge (kg) that may leak into a closed room of `area` (m2) at `height` (m).

    1.5 kg of R-32 lie below 6 * 0.306 = 1.836 kg:

    >>> flammable_charge("R-32", Measured(1.5), 1.8).standards[0].verdict
    'no room limit'

    Errors: InputError (refrigerant), OutOfRangeError (charge, height, area), UnknownNameError (refrigerant).
    """
    ruling, safety_class = lower_limit(refrigerant), catalogue.get(refrigerant).safety_class
    within("charge", charge, CHARGES, "mass")
    within("height", height, HEIGHTS, "length")
    within("area", area, AREAS, "area")
    counted = TABLE().heights.counted(height)
    standards = tuple(
        _by_standard(rule, rule.caps(safety_class, ruling.value), ruling.value, counted, charge, area)
        for rule in TABLE().rules.values()
    )
    worst = max(standards, key=lambda s: _ORDER.index(s.verdict))
    return FlammableCharge(worst.verdict, worst.source, safety_class, ruling, counted, standards)


def not_by_rooms(found: FlammableCharge) -> FlammableCharge:
    """The same for an appliance that these rules are not for: the caps stay, no room is judged.

    >>> not_by_rooms(flammable_charge("R-290", Measured(0.49), 0.6)).verdict
    'cannot tell'
    """
    standards = tuple(replace(s, verdict=CANNOT, most=None, least_area=None) for s in found.standards)
    return replace(found, verdict=CANNOT, standards=standards)


def _by_standard(
    rule: ChargeRule,
    caps: tuple[float, float, float],
    limit: float,
    height: float,
    charge: Measured,
    area: Measured | None,
) -> ByStandard:
    m1, m2, m3 = caps
    room = None if area is None else propagate(lambda a: max(m1, min(rule.most(limit, height, a), m2)), area)
    least = rule.least_area(limit, height, charge.value) if m1 < charge.value <= m2 else None
    return ByStandard(rule.text, rule.source, m1, m2, m3, room, least, _verdict(charge, caps, room))


def _verdict(charge: Measured, caps: tuple[float, float, float], room: Measured | None) -> RoomVerdict:
    """By the first cap that the charge is clearly within; where it may lie on either side the readings cannot tell.

    A room that is clearly too small is so on either side of the second cap: beyond it no room alone is large enough.
    """
    first, second, third = (side(charge, cap, "lower") for cap in caps)
    if first == "within":
        return "no room limit"
    if second == "outside":
        return _BEYOND[third]
    if room is None:
        return "room size needed" if first == "outside" and second == "within" else "cannot tell"
    spare = difference(room, charge)
    if spare.value >= COVERAGE * spare.uncertainty:
        return "room large enough"
    short = spare.value < -COVERAGE * spare.uncertainty
    return "room too small" if short and first == "outside" else "cannot tell"


_BEYOND: dict[str, RoomVerdict] = {
    "within": "ventilation or other measures needed",
    "cannot tell": "cannot tell",
    "outside": "not for such a room",
}


@data.checked
def _each_burns() -> None:
    """DataError where a lower flammability limit stands beside a refrigerant that these rules are not for."""
    burning = {name for name in catalogue.designations() if catalogue.recipe(name).safety_class in ("A2L", "A2", "A3")}
    if odd := sorted(TABLE().lower_limit.keys() - burning):
        raise data.DataError(
            f"flammable_charge.toml: lower_limit: {name} is not of class A2L, A2 or A3" for name in odd
        )
