"""Winding-to-ground insulation: correction to 40 degC, minima with their conflicts, polarisation index, warm up first.

Resistances in ohm, temperatures in K, times in s. A reading taken under vacuum, through a drive or without lock-out is
refused: it can destroy the motor or the drive or hurt, and proves nothing. Where that is not stated a good reading is
not proved to be valid.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Literal, get_args

from typing_extensions import TypeAliasType

from witnessmark.calculations.electrical.motors import TABLE, InsulationClass, MinimumId, Motor, motor_of
from witnessmark.calculations.electrical.tester_voltage import TestVoltage, proves_nothing, recommended_voltage
from witnessmark.calculations.metrology.limits import Limit, Ruling, Standing, StatedLimit, judge
from witnessmark.calculations.metrology.ranges import within
from witnessmark.calculations.metrology.ratios import ratio
from witnessmark.calculations.metrology.uncertainty import COVERAGE, Measured
from witnessmark.errors import InputError

InsulationRefusal = TypeAliasType(
    "InsulationRefusal", Literal["under vacuum", "through a drive", "power not locked out"]
)
"""Why a reading is not accepted at all."""
TestCondition = TypeAliasType("TestCondition", Literal["under_vacuum", "through_drive", "power_locked_out"])
"""What a valid test needs; the names are those of the fields that state it."""
Validity = TypeAliasType("Validity", Literal["valid as stated", "not proven", "not valid"])
"""Whether the reading was taken as such a test must be."""
ReadingHeld = TypeAliasType("ReadingHeld", Literal["reading at 40 degC", "reading as taken"])
"""Which reading a minimum is for."""
InsulationOutcome = TypeAliasType(
    "InsulationOutcome",
    Literal[
        "not a valid test",
        "meets every stated minimum",
        "meets the maker's minimum",
        "minimum met, test not proven valid",
        "warm up and repeat",
        "grounded",
        "below every stated minimum",
        "below the maker's minimum",
        "sources disagree",
        "cannot tell",
    ],
)
"""What the test says."""
PolarisationVerdict = TypeAliasType(
    "PolarisationVerdict", Literal["sufficient", "low", "cannot tell", "means little here"]
)
"""What the polarisation index says."""
HIGHEST = 1e13
LEAST_FOR_INDEX = 1.0
"""Below one ohm to ground a ratio of two readings says nothing."""
LEAST_MINIMUM = 1e5
"""No published minimum is below this (inverter-guide-hundred-kilohm): less is a slip of the unit."""
RATED_VOLTAGE = (24.0, 15e3)
TEST_VOLTAGE = (1.0, 20e3)
MET: tuple[InsulationOutcome, ...] = ("meets every stated minimum", "meets the maker's minimum")


@dataclass(frozen=True, slots=True)
class InsulationConditions:
    """What is known about the test; None is "not stated", which is neither yes nor no.

    heater_on: how long the crankcase heater has been on (or the shell otherwise warm), s.
    liquid_refrigerant: whether cold liquid refrigerant may lie in the shell.
    over_range: the meter ran over its range, so the reading is a lower bound.
    power_locked_out: whether the supply was locked out for the test.
    """

    under_vacuum: bool | None = None
    through_drive: bool | None = None
    liquid_refrigerant: bool | None = None
    heater_on: float | None = None
    over_range: bool = False
    power_locked_out: bool | None = None


@dataclass(frozen=True, slots=True)
class InsulationReading:
    """One-minute reading with the winding's temperature, the ten-minute reading where taken, and the motor.

    resistance, ten_minutes: ohm. temperature: K. motor: one of `motors()`. rated_voltage: V.
    maker_minimum: ohm, held against the reading as taken; maker_document: where the maker states it. same_tester: one
    tester took both readings.
    test_voltage: V dc.
    """

    resistance: Measured
    temperature: Measured
    motor: str
    ten_minutes: Measured | None = None
    rated_voltage: float | None = None
    insulation_class: InsulationClass | None = None
    maker_minimum: float | None = None
    maker_document: str = ""
    conditions: InsulationConditions = InsulationConditions()
    same_tester: bool = True
    test_voltage: float | None = None


@dataclass(frozen=True, slots=True)
class Corrected:
    """The reading at 40 degC by one rule."""

    resistance: Measured
    source: str


@dataclass(frozen=True, slots=True)
class MinimumCheck:
    """One minimum, which reading was held against it, and how that stands; condition: see `Ruling.condition`."""

    limit: Ruling
    held_against: ReadingHeld
    standing: Standing
    condition: str = ""


@dataclass(frozen=True, slots=True)
class Polarisation:
    """Ten-minute over one-minute resistance; `minimum` is None where no class was given. source: of the minimum."""

    index: Measured
    minimum: float | None
    verdict: PolarisationVerdict
    source: str


@dataclass(frozen=True, slots=True)
class InsulationVerdict:
    """What the test says. `corrected` holds every correction rule; the lowest counts.

    not_proven: the conditions of a valid test that were not stated; vacuum counts for a hermetic machine only.
    test_voltage: None where the rated voltage was not given.
    """

    verdict: InsulationOutcome
    refusals: tuple[InsulationRefusal, ...]
    corrected: tuple[Corrected, ...]
    minima: tuple[MinimumCheck, ...]
    polarisation: Polarisation | None
    warm_up: float
    unstated: tuple[str, ...]
    not_proven: tuple[TestCondition, ...]
    test_voltage: TestVoltage | None

    @property
    def validity(self) -> Validity:
        """Whether the reading was taken as such a test must be."""
        return "not valid" if self.refusals else "not proven" if self.not_proven else "valid as stated"


def insulation(reading: InsulationReading) -> InsulationVerdict:
    """Judge an insulation test.

    Example: 100 MOhm at 40 degC of a hermetic motor, with every condition of a valid test stated, lies above the
    stated minima of 0.5, 1 and 2 MOhm: "meets every stated minimum".
    Errors: UnknownNameError (motor), OutOfRangeError (resistance, ten_minutes, temperature, rated_voltage),
    InputError (rated_voltage missing where the minimum depends on it).
    """
    motor = motor_of(reading.motor)
    _check(reading)
    corrected = corrections(reading.resistance, reading.temperature)
    at_40 = min(corrected, key=lambda c: c.resistance.value).resistance
    minima = _minima(reading, motor, at_40)
    refusals, not_proven = _refusals(reading.conditions), _not_proven(reading.conditions, motor)
    verdict: InsulationOutcome = "not a valid test" if refusals else _verdict(reading, motor, minima, at_40)
    voltage = recommended_voltage(reading.rated_voltage, reading.test_voltage, motor)
    if verdict in MET and (not_proven or proves_nothing(reading.rated_voltage, reading.test_voltage, motor)):
        verdict = "minimum met, test not proven valid"
    return InsulationVerdict(
        verdict,
        refusals,
        corrected,
        minima,
        _polarisation(reading, motor),
        TABLE().liquid_refrigerant.warm_up,
        _unstated(reading.conditions, motor),
        not_proven,
        voltage,
    )


def corrections(resistance: Measured, temperature: Measured) -> tuple[Corrected, ...]:
    """The reading at 40 degC by each published rule that covers the temperature (K).

    Example: 100 MOhm at 30 degC is 50 MOhm at 40 degC by halving for every 10 K.
    """
    factors = ((source, rule(temperature.value)) for source, rule in RULES.items())
    return tuple(Corrected(_times(f, resistance, temperature), source) for source, f in factors if f is not None)


@dataclass(frozen=True, slots=True)
class Factor:
    """Factor to 40 degC and its relative slope, 1/K."""

    value: float
    slope: float


def halving(temperature: float) -> Factor:
    """Resistance halves for every 10 K. Source: ieee-43-halving."""
    return Factor(0.5 ** ((TABLE().reference.temperature - temperature) / 10), math.log(2) / 10)


def thermoset(temperature: float) -> Factor | None:
    """Thermosetting insulation, 10 to 85 degC; None elsewhere. Source: ieee-43-thermoset (with its own 273)."""
    absolute = temperature - 273.15 + 273
    if not 283 <= absolute <= 358:  # noqa: PLR2004 - range of the source
        return None
    slope = -1245 if absolute <= 313 else -4230  # noqa: PLR2004 - the two branches of the source
    return Factor(math.exp(slope * (1 / absolute - 1 / 313)), -slope / absolute**2)


RULES: dict[str, Callable[[float], Factor | None]] = {"ieee-43-halving": halving, "ieee-43-thermoset": thermoset}


def _times(factor: Factor, resistance: Measured, temperature: Measured) -> Measured:
    value = factor.value * resistance.value
    return Measured(
        value, math.hypot(factor.value * resistance.uncertainty, value * factor.slope * temperature.uncertainty)
    )


def _check(reading: InsulationReading) -> None:
    reference = TABLE().reference
    within("resistance", reading.resistance, (0.0, HIGHEST), "resistance")
    within("ten_minutes", reading.ten_minutes, (0.0, HIGHEST), "resistance")
    within("temperature", reading.temperature, (reference.coldest, reference.hottest), "temperature")
    within("rated_voltage", reading.rated_voltage, RATED_VOLTAGE, "voltage")
    within("test_voltage", reading.test_voltage, TEST_VOLTAGE, "voltage")


def _minima(reading: InsulationReading, motor: Motor, at_40: Measured) -> tuple[MinimumCheck, ...]:
    as_read, corrected = _published(reading, motor)
    every = tuple(s for limit in (*as_read, *corrected) for s in limit.stated)
    whole = Limit(safer="higher", stated=every).rule(reading.maker_minimum, reading.maker_document)
    if whole.basis == "maker":
        return (_minimum_check(reading, whole, None),)
    return (
        *(_minimum_check(reading, replace(limit.rule(), maker=whole.maker), None) for limit in as_read),
        *(_minimum_check(reading, replace(limit.rule(), maker=whole.maker), at_40) for limit in corrected),
    )


def _published(reading: InsulationReading, motor: Motor) -> tuple[list[Limit], list[Limit]]:
    """The published minima for the reading as taken, and for the one at 40 degC.

    Those of a motor for less than 1 kV count for no other: a winding for 4160 V is not proved by 2 MOhm.
    """
    limits, rated = TABLE().limits, reading.rated_voltage
    if motor.low_voltage and rated is not None and rated >= TABLE().test_voltage.low_voltage:
        above = ([limits[name]] if name else [] for name in (motor.as_read_above, motor.at_40_above))
        as_read, corrected = above
        return as_read, [*corrected, _old(reading)]
    as_read = [limits[motor.as_read]] if motor.as_read else []
    corrected = [limits[name] for name in _at_40(motor, rated)]
    return as_read, corrected if as_read or corrected else [_old(reading)]


def _at_40(motor: Motor, rated_voltage: float | None) -> list[MinimumId]:
    """The minima at 40 degC: both where low voltage has one of its own and the rated voltage was not given."""
    usual, low = ([name] if name else [] for name in (motor.at_40, motor.at_40_low_voltage))
    if not low:
        return usual
    if rated_voltage is None:
        return [*low, *usual]
    return low if rated_voltage < TABLE().test_voltage.low_voltage else usual


def _minimum_check(reading: InsulationReading, ruling: Ruling, at_40: Measured | None) -> MinimumCheck:
    standing = judge(at_40 or reading.resistance, ruling)
    if reading.conditions.over_range and standing != "within":
        standing = "cannot tell"
    held: ReadingHeld = "reading at 40 degC" if at_40 else "reading as taken"
    return MinimumCheck(ruling, held, standing, ruling.condition(at_40 or reading.resistance))


def _old(reading: InsulationReading) -> Limit:
    """(kV + 1) MOhm. Source: ieee-43-old."""
    if reading.rated_voltage is None:
        raise InputError("rated_voltage", "missing", "the rated voltage: the minimum of such a motor is (kV + 1) MOhm")
    stated = StatedLimit(value=(reading.rated_voltage / 1e3 + 1) * 1e6, source="ieee-43-old")
    return Limit(safer="higher", stated=(stated,))


def _refusals(conditions: InsulationConditions) -> tuple[InsulationRefusal, ...]:
    states: tuple[tuple[InsulationRefusal, bool | None], ...] = (
        ("under vacuum", conditions.under_vacuum),
        ("through a drive", conditions.through_drive),
        ("power not locked out", conditions.power_locked_out is False),
    )
    return tuple(name for name, state in states if state)


def _unstated(conditions: InsulationConditions, motor: Motor) -> tuple[str, ...]:
    """What was not stated and matters for this motor; the shell of an open-drive one knows no vacuum and no liquid."""
    stated = {
        "under_vacuum": conditions.under_vacuum,
        "through_drive": conditions.through_drive,
        "power_locked_out": conditions.power_locked_out,
        "liquid_refrigerant": conditions.liquid_refrigerant,
    }
    in_shell = ("under_vacuum", "liquid_refrigerant")
    return tuple(name for name, state in stated.items() if state is None and (motor.hermetic or name not in in_shell))


def _not_proven(conditions: InsulationConditions, motor: Motor) -> tuple[TestCondition, ...]:
    """What a valid test needs and was not stated."""
    unstated, needed = _unstated(conditions, motor), get_args(TestCondition.__value__)
    return tuple(name for name in needed if name in unstated)


def _verdict(
    reading: InsulationReading, motor: Motor, minima: tuple[MinimumCheck, ...], at_40: Measured
) -> InsulationOutcome:
    standings = {m.standing for m in minima}
    maker = any(m.limit.basis == "maker" for m in minima)
    if standings == {"within"}:
        if not reading.conditions.over_range and _flattered_by_cold(reading, minima, at_40):
            return "warm up and repeat"
        return "meets the maker's minimum" if maker else "meets every stated minimum"
    if reading.conditions.over_range:
        return "cannot tell"
    if _upper(reading.resistance) < TABLE().liquid_refrigerant.dead_ground:
        return "grounded"
    if motor.hermetic and _may_be_soaked(reading.conditions):
        return "warm up and repeat"
    unrated = motor.at_40_low_voltage is not None and reading.rated_voltage is None
    return _mixed(standings, maker=maker, unrated=unrated)


def _flattered_by_cold(reading: InsulationReading, minima: tuple[MinimumCheck, ...], at_40: Measured) -> bool:
    """Whether the winding passes only for being cold: at 40 degC it lies below the mildest minimum.

    A wet winding that is frozen reads high; minima for the reading as taken are meant for a machine in a room.
    """
    cold = reading.temperature.value < TABLE().reference.as_taken_from
    return cold and _upper(at_40) < min(check.limit.laxest for check in minima)


def _mixed(standings: set[Standing], *, maker: bool, unrated: bool) -> InsulationOutcome:
    """Where not every minimum is clearly met. unrated: which minimum counts hangs on a rated voltage not given."""
    fails, meets = standings & {"outside", "sources disagree"}, standings & {"within", "sources disagree"}
    if fails and meets:
        return "cannot tell" if unrated else "sources disagree"
    if standings != {"outside"}:
        return "cannot tell"
    return "below the maker's minimum" if maker else "below every stated minimum"


def _upper(value: Measured) -> float:
    return value.value + COVERAGE * value.uncertainty


def _may_be_soaked(conditions: InsulationConditions) -> bool:
    """Whether cold liquid refrigerant may explain a low reading: not ruled out, and not warm for long enough."""
    if conditions.liquid_refrigerant is False:
        return False
    return conditions.heater_on is None or conditions.heater_on < TABLE().liquid_refrigerant.warm_up


def _polarisation(reading: InsulationReading, motor: Motor) -> Polarisation | None:
    if reading.ten_minutes is None or reading.resistance.value < LEAST_FOR_INDEX:
        return None
    minima = TABLE().polarisation
    index = ratio(reading.ten_minutes, reading.resistance)
    if reading.same_tester:  # its gain cancels; what is left is no more than the two readings are known
        index = Measured(index.value, min(index.uncertainty, minima.between_readings * index.value))
    minimum = minima.of(reading.insulation_class) if reading.insulation_class else None
    meaningful = motor.form_wound and reading.resistance.value <= minima.meaningless_above
    verdict = _index_verdict(index, minimum, meaningful and not reading.conditions.over_range)
    return Polarisation(index, minimum, verdict, minima.source)


def _index_verdict(index: Measured, minimum: float | None, meaningful: bool) -> PolarisationVerdict:  # noqa: FBT001
    """A resistance that falls under voltage is a bad sign in any winding; the minima are for form-wound ones."""
    if _upper(index) < 1:
        return "low"
    if not meaningful or minimum is None:
        return "means little here"
    spread = COVERAGE * index.uncertainty
    if index.value - spread >= minimum:
        return "sufficient"
    return "low" if index.value + spread < minimum else "cannot tell"
