"""Standing pressure test with nitrogen: what cooling explains of a drop, and what the instruments can see.

Pressures in Pa absolute, temperatures in K, times in s. A closed volume follows the gas law on ABSOLUTE pressure and
temperature; thumb rules of so much per degree hold at one pressure only and are shown beside it.
What an instrument gets wrong alike at both ends cancels; taken twice as independent it would hide a leak. And "no loss
seen" is said only where the greatest loss that the readings leave open is one that the test need not show.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from typing_extensions import TypeAliasType

from witnessmark.calculations.metrology.limits import Ruling, judge
from witnessmark.calculations.metrology.ranges import within
from witnessmark.calculations.metrology.ratios import difference, ratio, scaled
from witnessmark.calculations.metrology.uncertainty import COVERAGE, Measured
from witnessmark.calculations.tightness.pressure_test_table import TABLE, SlopeRule
from witnessmark.errors import ConflictError, InputError, located
from witnessmark.refrigerants import nitrogen

TestGas = TypeAliasType(
    "TestGas", Literal["dry-nitrogen", "other-inert-gas", "refrigerant", "air", "oxygen", "flammable-gas"]
)
"""What the circuit was filled with."""
GasModel = TypeAliasType("GasModel", Literal["ideal-gas", "real-nitrogen"])
"""Gas law by which the pressure follows the temperature."""
StageVerdict = TypeAliasType("StageVerdict", Literal["leak", "no loss seen", "cannot tell", "readings contradict"])
"""What the loss of one stage says."""
PressureTestVerdict = TypeAliasType(
    "PressureTestVerdict",
    Literal[
        "leak",
        "no loss seen",
        "cannot tell",
        "readings contradict",
        "not a valid test",
        "hold too short",
        "hold disputed",
    ],
)
"""What the whole test says."""
PressureTestRefusal = TypeAliasType(
    "PressureTestRefusal", Literal["gas not allowed", "above the maximum pressure", "far above the allowable pressure"]
)
"""Why a test is not accepted at all."""
PressureTestRemark = TypeAliasType(
    "PressureTestRemark",
    Literal[
        "stages out of order",
        "first stage above 0.3 MPa gauge",
        "stage held too briefly",
        "pressure did not follow the temperature",
        "below the allowable pressure",
        "above the strength tests of standards",
    ],
)
"""What else is to be said about the test."""
Misleads = TypeAliasType("Misleads", Literal["calls a tight system leaking", "hides a leak"])
"""How a thumb rule would have led astray."""
ALLOWED: tuple[TestGas, ...] = ("dry-nitrogen", "other-inert-gas")
HOLDS = (1.0, 30 * 86400.0)
MAKER_HOLDS = (300.0, 30 * 86400.0)
"""A hold that a maker may ask for: the shortest that any source states is twice the least of these."""
SENSITIVITIES = (1e-4, 0.01)
"""A caller may ask a test to show more than the limit of the data file, never less."""
DAY = 86400.0
ROUNDING = 1e-9
"""1.5 times 30 bar is 45 bar, whatever the last bit says."""
SLACK = 1.2
"""A first stage may lie a fifth above the published one before it is remarked upon."""


@dataclass(frozen=True, slots=True)
class StageReading:
    """One stage: pressure (Pa absolute) and gas temperature (K) at its start and end, and how long it stood (s).

    gauge_bias (Pa), thermometer_bias (K): standard uncertainty that start and end share, beside what each has of its
    own; 0 where two instruments were read. They count only as far as the temperature changed.
    """

    start_pressure: Measured
    start_temperature: Measured
    end_pressure: Measured
    end_temperature: Measured
    duration: float
    gauge_bias: float = 0.0
    thermometer_bias: float = 0.0


@dataclass(frozen=True, slots=True)
class PressureTest:
    """The test as it was done. air_pressure: Pa, to name gauge pressures; maximum_pressure: Pa absolute.

    allowable_pressure: Pa absolute, the nameplate's, on which standards found their tests. mixed: a stage has a gauge
    pressure at one end and an absolute one at the other.
    """

    stages: tuple[StageReading, ...]
    gas: TestGas = "dry-nitrogen"
    model: GasModel = "real-nitrogen"
    air_pressure: float = 101325.0
    maximum_pressure: float | None = None
    wanted_sensitivity: float | None = None
    maker_hold: float | None = None
    maker_document: str = ""
    allowable_pressure: float | None = None
    mixed: bool = False

    @property
    def in_vacuum(self) -> bool:
        """Whether the last stage stood at no more than the air outside: gas leaks in there, and no loss can be seen."""
        last = self.stages[-1]
        return min(last.start_pressure.value, last.end_pressure.value) <= self.air_pressure

    @property
    def highest(self) -> float:
        """The highest pressure of any stage, Pa absolute."""
        return max(max(s.start_pressure.value, s.end_pressure.value) for s in self.stages)

    def against_allowable(self) -> float | None:
        """The highest pressure over the allowable one, both gauge; None where that is not known."""
        if self.allowable_pressure is None or self.allowable_pressure <= self.air_pressure:
            return None
        return (self.highest - self.air_pressure) / (self.allowable_pressure - self.air_pressure)


@dataclass(frozen=True, slots=True)
class ThumbRule:
    """What a thumb rule would have expected and concluded; `right_at` is the only pressure where it is right, Pa."""

    rule: str
    expected_pressure: float
    loss: Measured
    verdict: StageVerdict
    misleads: Misleads | None
    right_at: float
    source: str


@dataclass(frozen=True, slots=True)
class StageResult:
    """One stage. Loss is what the end pressure lacks of the expected one; fractions are of the absolute pressure.

    smallest_visible_loss: what these instruments can tell from none, Pa. Per day: fractions of the gas.
    """

    verdict: StageVerdict
    expected_pressure: Measured
    loss: Measured
    loss_fraction: Measured
    loss_per_day: float
    smallest_visible_loss: float
    visible_per_day: float
    thumb_rules: tuple[ThumbRule, ...]


@dataclass(frozen=True, slots=True)
class PressureTestResult:
    """The whole test; `sensitivity` is the fraction that the last stage had to be able to see."""

    verdict: PressureTestVerdict
    refusals: tuple[PressureTestRefusal, ...]
    remarks: tuple[PressureTestRemark, ...]
    stages: tuple[StageResult, ...]
    hold: Ruling
    sensitivity: float


def pressure_test(test: PressureTest) -> PressureTestResult:
    """Judge a standing pressure test.

    Example: one stage of the ideal gas from 3 MPa at 300 K to 2.9 MPa at 290 K, both absolute, for 24 h: nothing lost.
    Errors: InputError (stages empty), OutOfRangeError (stages.k.…, wanted_sensitivity), ConflictError (gas, model).
    """
    _check(test)
    sensitivity = test.wanted_sensitivity or TABLE().sensitivity.fraction
    last, stages = len(test.stages) - 1, []
    for k, stage in enumerate(test.stages):
        with located(f"stages.{k}"):
            stages.append(stage_result(stage, test.model, sensitivity if k == last else math.inf))
    hold = TABLE().limits.final_hold.rule(test.maker_hold, test.maker_document)
    refusals = _refusals(test)
    invalid = refusals or test.in_vacuum
    verdict: PressureTestVerdict = "not a valid test" if invalid else _verdict(test, tuple(stages), hold)
    return PressureTestResult(verdict, refusals, _remarks(test), tuple(stages), hold, sensitivity)


def stage_result(stage: StageReading, model: GasModel, sensitivity: float = math.inf) -> StageResult:
    """Judge one stage; "no loss seen" only if no loss above `sensitivity` (fraction) is left open at about 95 %.

    Example: 1 MPa absolute at 300 K, exact, should be 0.98 MPa at 294 K by the ideal gas; 0.97 MPa is a loss of
    10 kPa, 1.02 % of the gas. Errors: OutOfRangeError (start_pressure, start_temperature).
    """
    expected = expected_pressure(stage, model)
    loss = difference(expected, stage.end_pressure)
    loss = Measured(loss.value, math.hypot(loss.uncertainty, shared_uncertainty(stage)))
    visible = COVERAGE * loss.uncertainty
    fraction = ratio(loss, Measured(expected.value))
    days = stage.duration / DAY
    verdict = _verdict_on(loss, sensitivity * expected.value)
    return StageResult(
        verdict,
        expected,
        loss,
        fraction,
        fraction.value / days,
        visible,
        visible / expected.value / days,
        tuple(_thumb_rule(rule, stage, verdict) for rule in TABLE().thumb_rules),
    )


def expected_pressure(stage: StageReading, model: GasModel) -> Measured:
    """Pressure, Pa absolute, that the gas of the start would have at the end's temperature.

    The uncertainty uses the ideal-gas slopes, which the real gas follows within a few percent.
    Example: 3 MPa at 300 K is 2.9 MPa at 290 K by the ideal gas. Errors as for `stage_result`.
    """
    p, t, u = stage.start_pressure, stage.start_temperature, stage.end_temperature
    value = p.value * u.value / t.value
    spread = value * math.hypot(p.uncertainty / p.value, t.uncertainty / t.value, u.uncertainty / u.value)
    if model == "real-nitrogen":
        with located(pressure="start_pressure", temperature="start_temperature"):
            value = nitrogen.at_constant_volume(p.value, t.value, u.value)
    return Measured(value, spread)


def shared_uncertainty(stage: StageReading) -> float:
    """What the errors that both ends share leave in the loss, Pa: slopes of p T2 / T1 - p2 where both move alike.

    Example: a gauge that is 20 kPa off on a gas that cooled from 300 to 285 K: 20 kPa * 15/300 = 1 kPa.
    """
    start, end = stage.start_temperature.value, stage.end_temperature.value
    change = abs(end - start) / start
    return math.hypot(stage.gauge_bias, stage.start_pressure.value / start * stage.thermometer_bias) * change


def _verdict_on(loss: Measured, matters: float) -> StageVerdict:
    """matters: a loss, Pa, that must be ruled out; infinite where none must.

    A gain that nothing explains means an error of that size, and another may hide a loss: it is put up with where both
    together are smaller than a loss that matters.
    """
    visible = COVERAGE * loss.uncertainty
    if loss.value > visible:
        return "leak"
    if loss.value < -visible and (math.isinf(matters) or visible - loss.value > matters):
        return "readings contradict"
    return "cannot tell" if loss.value + visible > matters else "no loss seen"


def _thumb_rule(rule: SlopeRule, stage: StageReading, verdict: StageVerdict) -> ThumbRule:
    start, warmer = stage.start_pressure, difference(stage.end_temperature, stage.start_temperature)
    change = scaled(warmer, rule.slope)
    loss = difference(start, difference(stage.end_pressure, change))
    own, right_at = _verdict_on(loss, math.inf), rule.slope * stage.start_temperature.value
    return ThumbRule(rule.id, start.value + change.value, loss, own, _misleads(own, verdict), right_at, rule.source)


def _misleads(rule: StageVerdict, verdict: StageVerdict) -> Misleads | None:
    if rule == "leak" and verdict != "leak":
        return "calls a tight system leaking"
    return "hides a leak" if verdict == "leak" and rule != "leak" else None


def _verdict(test: PressureTest, stages: tuple[StageResult, ...], hold: Ruling) -> PressureTestVerdict:
    verdicts = [s.verdict for s in stages]
    if test.mixed and any(_is_the_air(s, test.air_pressure) for s in stages):
        return "readings contradict"
    if "leak" in verdicts:
        return "leak"
    if "readings contradict" in verdicts:
        return "readings contradict"
    if verdicts[-1] == "cannot tell":
        return "cannot tell"
    standing = judge(Measured(test.stages[-1].duration), hold)
    return "no loss seen" if standing == "within" else "hold too short" if standing == "outside" else "hold disputed"


def _is_the_air(stage: StageResult, air_pressure: float) -> bool:
    """Whether what seems lost or gained is the pressure of the air: a gauge pressure written as an absolute one.

    Example: 500 psig at the start, 500 psia at the end.
    """
    apart = abs(abs(stage.loss.value) - air_pressure)
    return apart <= max(COVERAGE * stage.loss.uncertainty, TABLE().air_slip.share * air_pressure)


def _refusals(test: PressureTest) -> tuple[PressureTestRefusal, ...]:
    refusals: list[PressureTestRefusal] = [] if test.gas in ALLOWED else ["gas not allowed"]
    if test.maximum_pressure is not None and test.highest > test.maximum_pressure:
        refusals.append("above the maximum pressure")
    if (times := test.against_allowable()) is not None and times > TABLE().factors.far_above + ROUNDING:
        refusals.append("far above the allowable pressure")
    return tuple(refusals)


def _remarks(test: PressureTest) -> tuple[PressureTestRemark, ...]:
    pressures = [s.start_pressure.value for s in test.stages]
    briefest = TABLE().limits.stage_hold.rule().value
    checks: tuple[tuple[PressureTestRemark, bool], ...] = (
        ("stages out of order", pressures != sorted(pressures)),
        (
            "first stage above 0.3 MPa gauge",  # a test in one step has no first stage
            len(pressures) > 1 and pressures[0] - test.air_pressure > SLACK * TABLE().stages[0].pressure,
        ),
        ("stage held too briefly", any(s.duration < briefest for s in test.stages)),
        ("pressure did not follow the temperature", any(_unmoved(s, test.model) for s in test.stages)),
        *_of_standards(test),
    )
    return tuple(remark for remark, true in checks if true)


def _of_standards(test: PressureTest) -> tuple[tuple[PressureTestRemark, bool], ...]:
    """A test far below the allowable pressure proves nothing of joints at work, one far above it strains the parts.

    The gauge's own error is forgiven: a stage at PS read a little low is a stage at PS.
    """
    times = test.against_allowable()
    if times is None:
        return ()
    doubt = COVERAGE * max(s.start_pressure.uncertainty for s in test.stages) / (test.allowable_pressure or 1.0)
    return (
        ("below the allowable pressure", times + doubt < 1.0),
        ("above the strength tests of standards", times - doubt > TABLE().factors.strength),
    )


def _unmoved(stage: StageReading, model: GasModel) -> bool:
    """Whether the gas law asks for a visible change and the gauge shows none: a thermometer in the sun, or a leak."""
    asked = difference(expected_pressure(stage, model), stage.start_pressure)
    shown = difference(stage.end_pressure, stage.start_pressure)
    return abs(asked.value) > COVERAGE * asked.uncertainty and abs(shown.value) <= COVERAGE * shown.uncertainty


def _check(test: PressureTest) -> None:
    if not test.stages:
        raise InputError("stages", "empty", "at least one stage")
    if test.gas != "dry-nitrogen" and test.model == "real-nitrogen":
        raise ConflictError(
            ("gas", "model"), "the real-gas model is nitrogen's", "dry nitrogen, or the ideal gas model"
        )
    within("wanted_sensitivity", test.wanted_sensitivity, SENSITIVITIES)
    for k, stage in enumerate(test.stages):
        with located(f"stages.{k}"):
            _check_stage(stage)


def _check_stage(stage: StageReading) -> None:
    within("start_pressure", stage.start_pressure, nitrogen.PRESSURES, "pressure")
    within("end_pressure", stage.end_pressure, nitrogen.PRESSURES, "pressure")
    within("start_temperature", stage.start_temperature, nitrogen.TEMPERATURES, "temperature")
    within("end_temperature", stage.end_temperature, nitrogen.TEMPERATURES, "temperature")
    within("duration", stage.duration, HOLDS, "time")
