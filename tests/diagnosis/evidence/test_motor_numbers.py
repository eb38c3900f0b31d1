"""Windings, insulation, capacitors as numbers. Worst first: a sound motor called burnt, a grounded one called fine."""

from dataclasses import replace

import pytest

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.diagnosis.evidence.field_readings import Facts, FieldReadings, SetAside, Three
from witnessmark.diagnosis.evidence.motor_numbers import (
    OPEN,
    continuity,
    kind,
    least_insulation,
    out_of_proportion,
    outside_tolerance,
    spread,
)

SINGLE = Facts(phases="single-phase")
THREE = Facts(phases="three-phase")
UNKNOWN = Facts()
FAR = 1e6


def ohms(*values: float, uncertainty: float = 0.03) -> FieldReadings:
    a, b, c = (Measured(v, uncertainty) for v in values)
    return FieldReadings(winding_resistances=(a, b, c))


def why(outcome: object) -> str:
    assert isinstance(outcome, SetAside)
    return outcome.why


def number(outcome: object) -> float:
    assert isinstance(outcome, Measured)
    return outcome.value


@pytest.mark.parametrize("order", [(2.5, 1.7, 4.2), (4.2, 2.5, 1.7), (1.7, 4.2, 2.5)])
def test_a_good_single_phase_motor_is_never_unequal(order: tuple[float, float, float]) -> None:
    """2.5, 1.7 and 4.2 ohm: common-start and common-run make start-run, in whatever order they were read."""
    readings = ohms(*order)
    assert spread(SINGLE, readings) is None
    assert number(continuity(SINGLE, readings)) == 4.2
    assert number(out_of_proportion(SINGLE, readings)) == 0
    assert "how many phases" in why(spread(UNKNOWN, readings))
    assert out_of_proportion(UNKNOWN, readings) is None
    assert number(spread(THREE, readings)) == pytest.approx(0.5)


@pytest.mark.parametrize(
    ("values", "expected"),
    [
        ((2.5, 1.7, 4.2), "not told"),
        ((2.7, 1.9, 4.4), "not told"),  # 0.2 ohm of leads left in each
        ((1.0, 1.0, 2.0), "not told"),  # as a delta with an open leg as well
        ((1.0, 1.0, 1.6), "three windings"),  # two alike, and no sum
        ((1.0, 1.0, 1.01), "three windings"),
        ((1.0, 1.2, 9.0), "three windings"),
        ((0.0, 1.0, 1.0), "three windings"),
        ((1.2, FAR, FAR), "three windings"),
    ],
)
def test_what_kind_of_windings_is_told_from_three_resistances_alone(
    values: tuple[float, float, float], expected: str
) -> None:
    assert kind(UNKNOWN, ohms(*values)) == expected


def test_what_else_is_known_decides_the_kind() -> None:
    good = ohms(2.5, 1.7, 4.2)
    lines: Three = (Measured(20.0), Measured(20.0), Measured(20.0))
    assert kind(SINGLE, good) == "start and run"
    assert kind(THREE, good) == "three windings"
    assert kind(Facts(phases="single-phase", drive="inverter"), good) == "three windings"
    assert kind(UNKNOWN, replace(good, run_capacitor=Measured(4e-5))) == "start and run"
    assert kind(UNKNOWN, replace(good, line_currents=lines)) == "three windings"
    assert kind(UNKNOWN, replace(good, line_voltages=lines)) == "three windings"
    assert kind(UNKNOWN, FieldReadings()) == "three windings"


def test_a_winding_that_does_not_conduct_is_open_and_not_unequal() -> None:
    for values in ((1.2, 1.2, FAR), (1.2, FAR, FAR)):
        assert number(continuity(THREE, ohms(*values))) == OPEN
        assert spread(THREE, ohms(*values)) is None


def test_nothing_conducts_where_a_protector_has_opened() -> None:
    """Wrong answer that hurts: a hot protector called an open winding, and a sound compressor replaced."""
    assert "protector" in why(continuity(THREE, ohms(FAR, FAR, FAR)))
    labelled = replace(ohms(FAR, FAR, 4.2), windings_labelled=True)
    assert "protector" in why(continuity(SINGLE, labelled))
    assert out_of_proportion(SINGLE, labelled) is None
    assert "protector" in why(continuity(SINGLE, ohms(FAR, FAR, 4.2)))


def test_an_open_start_winding_is_told_from_an_open_run_winding_by_the_labels() -> None:
    start = replace(ohms(FAR, 1.7, FAR), windings_labelled=True)
    assert continuity(SINGLE, start) is None
    assert number(out_of_proportion(SINGLE, start)) > 5
    run = replace(ohms(2.5, FAR, FAR), windings_labelled=True)
    assert number(continuity(SINGLE, run)) == OPEN
    assert out_of_proportion(SINGLE, run) is None


def test_a_start_winding_out_of_proportion() -> None:
    assert number(out_of_proportion(SINGLE, ohms(40.0, 1.7, 41.7))) == pytest.approx(0.594, abs=0.001)
    swapped = replace(ohms(1.7, 2.5, 4.2), windings_labelled=True)
    assert number(out_of_proportion(SINGLE, swapped)) == 0


def test_single_phase_readings_that_do_not_add_up_are_measured_again() -> None:
    assert "not the sum" in why(out_of_proportion(SINGLE, ohms(2.5, 1.7, 9.0)))


def test_three_readings_that_no_winding_has_are_measured_again() -> None:
    assert "no three windings" in why(spread(THREE, ohms(1.0, 1.0, 3.0)))


def test_zero_is_no_winding_resistance() -> None:
    assert "four-wire" in why(spread(THREE, ohms(0.0, 0.0, 0.1)))
    assert out_of_proportion(SINGLE, ohms(0.0, 1.0, 1.0)) is None


def insulation(**readings: Measured | Three) -> Measured:
    outcome = least_insulation(UNKNOWN, FieldReadings(**readings))  # type: ignore[arg-type]
    assert isinstance(outcome, Measured)
    return outcome


def test_the_worst_reading_to_the_shell_counts() -> None:
    """Wrong answer that hurts: 2 megohm cold passed, and 0.4 hot, or one phase of three, dropped."""
    assert insulation(insulation_resistance=Measured(2e6), insulation_resistance_hot=Measured(4e5)).value == 4e5
    phases = (Measured(5e8), Measured(2e3), Measured(5e8))
    assert insulation(insulation_resistance=Measured(5e8), insulation_by_phase=phases).value == 2e3
    assert insulation(insulation_by_phase=phases).value == 2e3


def test_a_dead_short_is_never_corrected_away_by_its_temperature() -> None:
    hot = Measured(393.15, 1.0)
    assert insulation(insulation_resistance=Measured(10.0, 1.0), winding_temperature=hot) == Measured(10.0, 1.0)
    assert insulation(insulation_resistance=Measured(0.0)).value == 1.0


def test_a_hot_reading_is_held_at_forty_degrees_where_its_temperature_is_known() -> None:
    hot = insulation(insulation_resistance_hot=Measured(4e5), winding_temperature_hot=Measured(353.15, 1.0))
    assert hot.value == pytest.approx(1.85e6, rel=0.01)


@pytest.mark.parametrize(
    ("given", "expected"),
    [
        ({"run_capacitor": 40.0, "run_capacitor_marked": 40.0}, 0.0),
        ({"run_capacitor": 38.0, "run_capacitor_marked": 40.0}, 0.0),
        ({"run_capacitor": 30.0, "run_capacitor_marked": 40.0}, 0.19),
        ({"start_capacitor": 105.0, "start_capacitor_marked": 88.0}, 0.0),
        ({"start_capacitor": 0.0, "start_capacitor_marked": 88.0}, 0.9),
        (
            {
                "run_capacitor": 40.0,
                "run_capacitor_marked": 40.0,
                "start_capacitor": 40.0,
                "start_capacitor_marked": 88.0,
            },
            0.445,
        ),
    ],
)
def test_the_worse_capacitor_counts(given: dict[str, float], expected: float) -> None:
    readings = FieldReadings(**{name: Measured(value * 1e-6) for name, value in given.items()})  # type: ignore[arg-type]
    assert number(outside_tolerance(SINGLE, readings)) == pytest.approx(expected, abs=0.001)


def test_a_capacitor_needs_its_marking_and_a_motor_that_has_one() -> None:
    bare = FieldReadings(run_capacitor=Measured(3e-5))
    assert "marking" in why(outside_tolerance(SINGLE, bare))
    for facts in (THREE, Facts(drive="inverter")):
        assert "neither a run nor a start capacitor" in why(outside_tolerance(facts, bare))
