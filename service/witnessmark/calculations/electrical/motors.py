"""Kinds of motor and the minima that sources state for their insulation: reviewed data (insulation.toml)."""

from __future__ import annotations

from typing import Literal

from typing_extensions import TypeAliasType

from witnessmark import data
from witnessmark.calculations.metrology.limits import Limit
from witnessmark.errors import UnknownNameError
from witnessmark.reference import SourceId
from witnessmark.vocabulary import Compressor

InsulationClass = TypeAliasType("InsulationClass", Literal["A", "B", "F", "H"])
"""Thermal class of the winding's insulation."""
MinimumId = Literal["hermetic", "inverter", "centrifugal", "random_wound", "form_wound", "form_wound_low_voltage"]


class CorrectionRange(data.Row):
    """The temperature of the corrected reading, and those between which one is corrected, K.

    as_taken_from: below it a minimum for the reading as taken flatters, since a cold winding reads high.
    """

    temperature: float
    as_taken_from: float
    coldest: float
    hottest: float


class Motor(data.Row):
    """A kind of motor. as_read, at_40: the minimum for the reading as taken, and for the one at 40 degC.

    at_40_low_voltage: the same below 1 kV, where it is another. not_in: compressors that have no such motor.
    low_voltage: made for less than 1 kV only; as_read_above, at_40_above: the minima from 1 kV on, where its own do not
    reach, beside (rated kV + 1) MOhm.
    """

    text: str
    hermetic: bool = False
    inverter: bool = False
    form_wound: bool = False
    low_voltage: bool = False
    as_read: MinimumId | None = None
    at_40: MinimumId | None = None
    at_40_low_voltage: MinimumId | None = None
    as_read_above: MinimumId | None = None
    at_40_above: MinimumId | None = None
    not_in: tuple[Compressor, ...] = ()


class PolarisationMinima(data.Row):
    """Least index by insulation class; above `meaningless_above` ohm it says nothing.

    between_readings: relative standard uncertainty of the ratio of two readings of one tester.
    """

    A: float
    B: float
    F: float
    H: float
    source: SourceId
    meaningless_above: float
    scope_source: SourceId
    between_readings: float
    between_source: SourceId

    def of(self, insulation_class: InsulationClass) -> float:
        """The minimum of a class."""
        return {"A": self.A, "B": self.B, "F": self.F, "H": self.H}[insulation_class]


class WarmUp(data.Row):
    """How long to warm a motor that may be soaked in refrigerant, s; below `dead_ground` ohm no warming helps."""

    warm_up: float
    dead_ground: float
    source: SourceId
    rule_source: SourceId


class TestVoltageStep(data.Row):
    """Direct voltages between which to test, V, up to a rated voltage, V."""

    __test__ = False

    up_to: float
    low: float
    high: float


class TestVoltages(data.Row):
    """Test voltages by rated voltage in air, and how many times the rated voltage a hermetic winding may see.

    least: V dc below which no motor of an unknown rated voltage is tested. far_above: times the highest recommended
    voltage beyond which a test is no valid one.
    """

    __test__ = False

    low_voltage: float
    source: SourceId
    hermetic_times: float
    hermetic_source: SourceId
    least: float
    far_above: float
    validity_source: SourceId
    steps: tuple[TestVoltageStep, ...]


class InsulationTable(data.Row):
    """The data file."""

    reference: CorrectionRange
    motors: dict[str, Motor]
    limits: dict[MinimumId, Limit]
    test_voltage: TestVoltages
    polarisation: PolarisationMinima
    liquid_refrigerant: WarmUp


TABLE = data.table(__package__, "insulation.toml", InsulationTable)


def motors() -> tuple[str, ...]:
    """The kinds of motor for which minima are known."""
    return tuple(TABLE().motors)


def motor_of(kind: str) -> Motor:
    """The motor of that kind; UnknownNameError (motor) if there is none."""
    try:
        return TABLE().motors[kind]
    except KeyError:
        raise UnknownNameError("motor", "kind of motor", motors()) from None
