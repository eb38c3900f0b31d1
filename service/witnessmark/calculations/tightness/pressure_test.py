"""Standing pressure test with nitrogen: what cooling explains of a drop, and what the instruments can see.

Pressures in Pa absolute, temperatures in K, times in s. A closed volume follows the gas law on ABSOLUTE pressure and
temperature; thumb rules of so much per degree hold at one pressure only and are shown beside it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from typing import Any, Literal

from witnessmark.calculations.metrology.limits import COVERAGE, Ruling, judge, limit_from, read_data
from witnessmark.calculations.metrology.ranges import within
from witnessmark.calculations.metrology.ratios import difference, ratio, scaled
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.errors import ConflictError, InputError, located
from witnessmark.reference import source
from witnessmark.refrigerants import nitrogen

Gas = Literal["dry nitrogen", "other inert gas", "refrigerant", "air", "oxygen", "flammable gas"]
GasModel = Literal["ideal gas", "real nitrogen"]
Loss = Literal["leak", "no loss seen", "cannot tell", "readings contradict"]
Verdict = Literal[Loss, "not a valid test", "hold too short", "hold disputed"]
Refusal = Literal["gas not allowed", "above the maximum pressure"]
Remark = Literal[
    "stages out of order",
    "first stage above 0.3 MPa gauge",
    "stage held too briefly",
    "pressure did not follow the temperature",
]
Misleads = Literal["calls a tight system leaking", "hides a leak"]
ALLOWED: tuple[Gas, ...] = ("dry nitrogen", "other inert gas")
HOLDS = (1.0, 30 * 86400.0)
MAKER_HOLDS = (300.0, 30 * 86400.0)
"""A hold that a maker may ask for: the shortest that any source states is twice the least of these."""
SENSITIVITIES = (1e-4, 0.1)
DAY = 86400.0
SLACK = 1.2
"""A first stage may lie a fifth above the published one before it is remarked upon."""


@dataclass(frozen=True, slots=True)
class StageReading:
    """One stage: pressure and gas temperature at its start and end, and how long it stood."""

    start_pressure: Measured
    start_temperature: Measured
    end_pressure: Measured
    end_temperature: Measured
    held: float


@dataclass(frozen=True, slots=True)
class PressureTest:
    """The test as it was done. air_pressure: Pa, to name gauge pressures; maximum_pressure: Pa absolute."""

    stages: tuple[StageReading, ...]
    gas: Gas = "dry nitrogen"
    model: GasModel = "real nitrogen"
    air_pressure: float = 101325.0
    maximum_pressure: float | None = None
    wanted_sensitivity: float | None = None
    maker_hold: float | None = None


@dataclass(frozen=True, slots=True)
class ThumbRule:
    """What a thumb rule would have expected and concluded; `right_at` is the only pressure where it is right, Pa."""

    rule: str
    expected: float
    loss: Measured
    verdict: Loss
    misleads: Misleads | None
    right_at: float
    source: str


@dataclass(frozen=True, slots=True)
class StageVerdict:
    """One stage. Loss is what the end pressure lacks of the expected one; fractions are of the absolute pressure."""

    expected: Measured
    loss: Measured
    loss_fraction: Measured
    smallest_visible: float
    visible_per_day: float
    loss_per_day: float
    verdict: Loss
    rules: tuple[ThumbRule, ...]


@dataclass(frozen=True, slots=True)
class PressureTestVerdict:
    """The whole test; `sensitivity` is the fraction that the last stage had to be able to see."""

    verdict: Verdict
    refusals: tuple[Refusal, ...]
    remarks: tuple[Remark, ...]
    stages: tuple[StageVerdict, ...]
    hold: Ruling
    sensitivity: float


@cache
def data() -> dict[str, Any]:
    """The data file, sources checked."""
    tables = read_data(__package__, "pressure_test.toml")
    for row in (*tables["stages"], *tables["thumb_rules"], tables["sensitivity"]):
        source(row["source"])
    return tables


def pressure_test(test: PressureTest) -> PressureTestVerdict:
    """Judge a standing pressure test.

    Errors: InputError (stages empty), OutOfRangeError (stages.k.…, wanted_sensitivity), ConflictError (gas, model).
    """
    _check(test)
    sensitivity = test.wanted_sensitivity or float(data()["sensitivity"]["fraction"])
    last = len(test.stages) - 1
    stages = tuple(
        stage_verdict(s, test.model, sensitivity if k == last else math.inf, f"stages.{k}.")
        for k, s in enumerate(test.stages)
    )
    hold = limit_from(data()["limits"]["final_hold"]).rule(test.maker_hold)
    refusals = _refusals(test)
    verdict: Verdict = "not a valid test" if refusals else _verdict(test, stages, hold)
    return PressureTestVerdict(verdict, refusals, _remarks(test), stages, hold, sensitivity)


def stage_verdict(
    stage: StageReading, model: GasModel, sensitivity: float = math.inf, prefix: str = ""
) -> StageVerdict:
    """Judge one stage; a loss smaller than `sensitivity` (fraction) must be visible, or the answer is "cannot tell"."""
    expected = expected_pressure(stage, model, prefix)
    loss = difference(expected, stage.end_pressure)
    visible = COVERAGE * loss.uncertainty
    fraction = ratio(loss, Measured(expected.value))
    days = stage.held / DAY
    verdict = _loss(loss, visible / expected.value > sensitivity)
    rules = tuple(_rule(row, stage, verdict) for row in data()["thumb_rules"])
    per_day = fraction.value / days
    return StageVerdict(expected, loss, fraction, visible, visible / expected.value / days, per_day, verdict, rules)


def expected_pressure(stage: StageReading, model: GasModel, prefix: str = "") -> Measured:
    """Pressure, Pa absolute, that the gas of the start would have at the end's temperature.

    The uncertainty uses the ideal-gas slopes, which the real gas follows within a few percent.
    """
    p, t, u = stage.start_pressure, stage.start_temperature, stage.end_temperature
    value = p.value * u.value / t.value
    spread = value * math.hypot(p.uncertainty / p.value, t.uncertainty / t.value, u.uncertainty / u.value)
    if model == "real nitrogen":
        with located(pressure=f"{prefix}start_pressure", temperature=f"{prefix}start_temperature"):
            value = nitrogen.at_constant_volume(p.value, t.value, u.value)
    return Measured(value, spread)


def _loss(loss: Measured, blind: bool) -> Loss:  # noqa: FBT001 - the second half of one question
    visible = COVERAGE * loss.uncertainty
    if loss.value > visible:
        return "leak"
    if loss.value < -visible:
        return "readings contradict"
    return "cannot tell" if blind else "no loss seen"


def _rule(row: dict[str, Any], stage: StageReading, verdict: Loss) -> ThumbRule:
    start, warmer = stage.start_pressure, difference(stage.end_temperature, stage.start_temperature)
    change = scaled(warmer, row["slope"])
    loss = difference(start, difference(stage.end_pressure, change))
    found = _loss(loss, blind=False)
    right_at = row["slope"] * stage.start_temperature.value
    return ThumbRule(
        row["id"], start.value + change.value, loss, found, _misleads(found, verdict), right_at, row["source"]
    )


def _misleads(rule: Loss, verdict: Loss) -> Misleads | None:
    if rule == "leak" and verdict != "leak":
        return "calls a tight system leaking"
    return "hides a leak" if verdict == "leak" and rule != "leak" else None


def _verdict(test: PressureTest, stages: tuple[StageVerdict, ...], hold: Ruling) -> Verdict:
    losses = [s.verdict for s in stages]
    for decisive in ("leak", "readings contradict"):
        if decisive in losses:
            return decisive
    if losses[-1] == "cannot tell":
        return "cannot tell"
    held = judge(Measured(test.stages[-1].held), hold)
    return "no loss seen" if held == "within" else "hold too short" if held == "outside" else "hold disputed"


def _refusals(test: PressureTest) -> tuple[Refusal, ...]:
    found: list[Refusal] = [] if test.gas in ALLOWED else ["gas not allowed"]
    highest = max(max(s.start_pressure.value, s.end_pressure.value) for s in test.stages)
    if test.maximum_pressure is not None and highest > test.maximum_pressure:
        found.append("above the maximum pressure")
    return tuple(found)


def _remarks(test: PressureTest) -> tuple[Remark, ...]:
    pressures = [s.start_pressure.value for s in test.stages]
    briefly = limit_from(data()["limits"]["stage_hold"]).rule().value
    checks: tuple[tuple[Remark, bool], ...] = (
        ("stages out of order", pressures != sorted(pressures)),
        (
            "first stage above 0.3 MPa gauge",
            pressures[0] - test.air_pressure > SLACK * float(data()["stages"][0]["pressure"]),
        ),
        ("stage held too briefly", any(s.held < briefly for s in test.stages)),
        ("pressure did not follow the temperature", any(_unmoved(s, test.model) for s in test.stages)),
    )
    return tuple(remark for remark, true in checks if true)


def _unmoved(stage: StageReading, model: GasModel) -> bool:
    """Whether the gas law asks for a visible change and the gauge shows none: a thermometer in the sun, or a leak."""
    asked = difference(expected_pressure(stage, model), stage.start_pressure)
    shown = difference(stage.end_pressure, stage.start_pressure)
    return abs(asked.value) > COVERAGE * asked.uncertainty and abs(shown.value) <= COVERAGE * shown.uncertainty


def _check(test: PressureTest) -> None:
    if not test.stages:
        raise InputError("stages", "empty", "at least one stage")
    if test.gas != "dry nitrogen" and test.model == "real nitrogen":
        raise ConflictError(
            ("gas", "model"), "the real-gas model is nitrogen's", "dry nitrogen, or the ideal gas model"
        )
    within("wanted_sensitivity", test.wanted_sensitivity, SENSITIVITIES)
    for k, stage in enumerate(test.stages):
        _check_stage(stage, f"stages.{k}.")


def _check_stage(stage: StageReading, prefix: str) -> None:
    for name in ("start_pressure", "end_pressure"):
        within(prefix + name, getattr(stage, name), nitrogen.PRESSURES, "pressure")
    for name in ("start_temperature", "end_temperature"):
        within(prefix + name, getattr(stage, name), nitrogen.TEMPERATURES, "temperature")
    within(prefix + "held", stage.held, HOLDS, "time")
