"""Lines warmer than anything around them. Worst: a thermometer on the wrong line sends somebody to look for a leak.

That a suction line takes its heat from the air and the liquid line, and that compression heats gas, needs no source.
"""

from __future__ import annotations

from typing import Any

import pytest
from tests.diagnosis.evidence.read import Told, barg, case_of, celsius, told

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.diagnosis.case import Machine
from witnessmark.diagnosis.evidence.field_readings import FieldReadings

SCROLL = Machine("scroll", "low-side", "fixed-speed", "hermetic", "three-phase")


def judged(suction: float, hot: float = 78.0, refrigerant: str = "R-410A", **other: Any) -> Told:
    """An R-410A machine at 5/45 °C unless told otherwise, in air of 32 °C, by its suction line."""
    read: dict[str, Any] = {
        "suction_pressure": barg(8.3),
        "discharge_pressure": barg(26.2),
        "liquid_temperature": celsius(39.0),
        "outdoor_temperature": celsius(32.0),
        "running": True,
    } | other
    temperatures: dict[str, Any] = {"suction_temperature": celsius(suction), "discharge_temperature": celsius(hot)}
    return told(case_of(refrigerant, FieldReadings(**temperatures, **read), SCROLL))


def doubted(answer: Told) -> set[str]:
    return {name for clash in answer.contradictions for name in clash.readings}


@pytest.mark.parametrize(
    ("suction", "hot", "other"),
    [
        (48.0, 92.0, {}),
        (60.0, 92.0, {"outdoor_temperature": None}),
        (70.0, 110.0, {"liquid_temperature": None}),
        (55.0, 95.0, {"suction_pressure": barg(5.0), "outdoor_temperature": celsius(0.0)}),
    ],
)
def test_a_suction_line_warmer_than_all_around_it_is_no_sign_of_a_short_charge(
    suction: float, hot: float, other: dict[str, Any]
) -> None:
    answer = judged(suction, hot, **other)
    assert "suction_temperature" in doubted(answer)
    assert answer.state == "contradictory-evidence"
    assert answer.probability("undercharge") < 0.1


@pytest.mark.parametrize(("suction", "hot"), [(85.0, 78.0), (78.0, 50.0)])
def test_a_suction_line_warmer_than_the_discharge_is_on_the_wrong_line(suction: float, hot: float) -> None:
    answer = judged(suction, hot)
    assert doubted(answer) >= {"suction_temperature", "discharge_temperature"}


@pytest.mark.parametrize(
    ("suction", "refrigerant", "other"),
    [
        (13.0, "R-410A", {}),
        (30.0, "R-410A", {"suction_pressure": barg(5.0)}),  # short of refrigerant: as warm as the room
        (40.0, "R-410A", {"suction_pressure": barg(5.0)}),  # an exchanger on the liquid line
        (52.0, "R-410A", {"outdoor_temperature": celsius(50.0), "suction_pressure": barg(6.0)}),
        (62.0, "R-1234ze(E)", {"suction_pressure": barg(9.0), "discharge_pressure": barg(21.0)}),  # heats from 50 °C
    ],
)
def test_a_line_that_its_surroundings_can_have_warmed_is_believed(
    suction: float, refrigerant: str, other: dict[str, Any]
) -> None:
    assert "suction_temperature" not in doubted(judged(suction, 100.0, refrigerant, **other))


def test_nothing_is_said_of_a_line_at_rest_or_of_a_refrigerant_that_is_not_known() -> None:
    assert "suction_temperature" not in doubted(judged(60.0, 40.0, running=False))
    lines = FieldReadings(running=True, suction_temperature=celsius(60.0), suction_pressure=barg(8.0))
    assert told(case_of(None, lines, SCROLL)).contradictions == ()
    assert "suction_temperature" not in doubted(
        judged(60.0, 90.0, suction_pressure=barg(60.0), discharge_pressure=barg(150.0), running=None)
    )


def test_a_machine_that_pumps_nothing_has_no_hot_or_cold_line() -> None:
    equal: dict[str, Any] = {"suction_pressure": barg(15.0), "discharge_pressure": barg(15.5)}
    assert "suction_temperature" not in doubted(judged(60.0, 40.0, **equal))


@pytest.mark.parametrize("name", ["suction_superheat", "discharge_superheat", "subcooling"])
def test_a_worked_out_margin_far_below_zero_is_a_slip(name: str) -> None:
    def margin(value: float) -> Told:
        read: dict[str, Any] = {name: Measured(value, 1.5)}
        return told(case_of(None, FieldReadings(running=True, **read), SCROLL))

    assert doubted(margin(-14.0)) == {name}
    assert name not in doubted(margin(-3.0))
