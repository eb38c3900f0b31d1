"""Where a running compressor may run: each worst wrong answer is a machine that pumps, and is being ruined."""

import pytest

from witnessmark.calculations.compressor.operating_limits import (
    LIMITS,
    OperatingMachine,
    OperatingQuantity,
    operation,
    ruling_for,
)
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.refrigerants import catalogue
from witnessmark.vocabulary import Application

SCROLL = OperatingMachine("R-22", "scroll", "air-conditioning", "none")


def standing(machine: OperatingMachine, quantity: OperatingQuantity, value: float, width: float = 0.0) -> str:
    (check,) = operation(machine, {quantity: Measured(value, width)}).checks
    assert bool(check.text) == (check.standing != "within")
    return check.standing


def fahrenheit(value: float) -> float:
    return (value + 459.67) / 1.8


@pytest.mark.parametrize(
    ("hot", "expected"), [(300.0, "outside"), (226.0, "outside"), (224.99, "within"), (150.0, "within")]
)
def test_a_discharge_hotter_than_oil_stands(hot: float, expected: str) -> None:
    """225 degF on the line: the valve is some 75 degF hotter (trade press)."""
    assert standing(SCROLL, "discharge_temperature", fahrenheit(hot)) == expected


def test_the_edge_is_within() -> None:
    assert standing(SCROLL, "discharge_temperature", 380.37) == "within"
    assert standing(SCROLL, "discharge_temperature", 380.371) == "outside"


def test_near_the_limit_nobody_can_tell() -> None:
    assert standing(SCROLL, "discharge_temperature", fahrenheit(225.0), 1.0) == "cannot tell"


@pytest.mark.parametrize(
    ("machine", "limit"),
    [
        (OperatingMachine("R-717", "reciprocating", cooling="none"), 150.0),
        (OperatingMachine("R-717", "screw", cooling="oil"), 100.0),
        (OperatingMachine("R-744", "scroll", cooling="none"), 140.0),
        (OperatingMachine("R-717"), 107.22),
        (OperatingMachine("R-22", "screw", cooling="none"), 107.22),
    ],
)
def test_limits_of_temperature_belong_to_the_machine(machine: OperatingMachine, limit: float) -> None:
    """A sound ammonia piston machine at 120 degC is no alarm; of an unknown one nobody says so."""
    ruling = ruling_for(machine, "discharge_temperature")
    assert ruling is not None
    assert ruling.value - 273.15 == pytest.approx(limit, abs=0.01)


@pytest.mark.parametrize(
    ("application", "ratio", "expected"),
    [
        ("air-conditioning", 5.8, "within"),
        ("air-conditioning", 7.0, "sources disagree"),
        ("air-conditioning", 8.1, "outside"),
        ("low-temperature", 8.1, "within"),
        ("low-temperature", 11.0, "sources disagree"),
        ("low-temperature", 18.8, "outside"),
        ("medium-temperature", 18.8, "outside"),
        (None, 5.8, "within"),
        (None, 9.0, "cannot tell"),
        (None, 18.8, "outside"),
    ],
)
def test_a_high_ratio_by_application(application: Application | None, ratio: float, expected: str) -> None:
    machine = OperatingMachine("R-404A", "scroll", application, "none")
    assert standing(machine, "pressure_ratio", ratio) == expected


def test_a_flooded_screw_takes_more() -> None:
    assert standing(OperatingMachine("R-717", "screw", "low-temperature", "oil"), "pressure_ratio", 15.0) == "within"
    assert standing(OperatingMachine("R-717", "screw", "low-temperature", "oil"), "pressure_ratio", 21.0) == "outside"


def test_an_uncertain_ratio_is_judged_in_its_logarithm() -> None:
    """44 +- 12: 44 exp(-2 x 12 / 44) = 25 lies above 12, where 44 - 24 = 20 does too; 44 +- 38 does not."""
    assert standing(SCROLL, "pressure_ratio", 44.0, 12.0) == "outside"
    assert standing(SCROLL, "pressure_ratio", 44.0, 38.0) == "cannot tell"


def test_a_suction_in_vacuum() -> None:
    assert standing(SCROLL, "suction_pressure", 90e3, 3e3) == "outside"
    assert standing(SCROLL, "suction_pressure", 110e3, 3e3) == "within"
    high = OperatingMachine("R-22", "scroll", air_pressure=70e3)
    assert standing(high, "suction_pressure", 90e3, 3e3) == "within"


@pytest.mark.parametrize("refrigerant", ["R-600a", "R-134a"])
def test_refrigerants_that_boil_high_are_drawn_into_vacuum_as_usual(refrigerant: str) -> None:
    """Boiling points -11.7 and -26.1 degC; a freezer of R-600a runs at some 58 kPa absolute."""
    assert standing(OperatingMachine(refrigerant), "suction_pressure", 58e3) == "within"
    assert standing(OperatingMachine(refrigerant, None, "air-conditioning"), "suction_pressure", 58e3) == "outside"


@pytest.mark.parametrize(("refrigerant", "pressure"), [("R-600a", 25e3), ("R-134a", 33.6e3), ("R-1234yf", 50e3)])
def test_but_not_to_where_only_a_blocked_feed_leads(refrigerant: str, pressure: float) -> None:
    """Colder than evaporating at -40 degC: 20 inHg of vacuum of R-134a is -49 degC."""
    assert standing(OperatingMachine(refrigerant), "suction_pressure", pressure) == "outside"
    mountain = OperatingMachine(refrigerant, air_pressure=20e3)
    assert standing(mountain, "suction_pressure", pressure) == "within"


def test_a_discharge_near_dew() -> None:
    assert standing(SCROLL, "discharge_superheat", 5.0, 1.0) == "outside"
    assert standing(SCROLL, "discharge_superheat", 25.0, 2.0) == "within"


def test_the_verdict_over_all_checks() -> None:
    assert operation(SCROLL, {"discharge_temperature": None}).verdict == "not judged"
    both: dict[OperatingQuantity, Measured | None] = {
        "discharge_temperature": Measured(350.0),
        "discharge_superheat": Measured(11.0, 1.0),
    }
    assert operation(SCROLL, both).verdict == "cannot tell"
    assert operation(SCROLL, both | {"pressure_ratio": Measured(7.0)}).verdict == "outside limits"
    assert operation(SCROLL, {"discharge_temperature": Measured(350.0)}).verdict == "within limits"


def test_a_quantity_without_any_limit_is_not_judged(monkeypatch: pytest.MonkeyPatch) -> None:
    bare = LIMITS().model_copy(update={"limit": ()})
    monkeypatch.setattr("witnessmark.calculations.compressor.operating_limits.LIMITS", lambda: bare)
    assert operation(SCROLL, {"discharge_temperature": Measured(500.0)}).verdict == "not judged"


def test_rows_name_refrigerants_that_exist() -> None:
    assert {name for row in LIMITS().limit for name in row.refrigerants} <= set(catalogue.designations())


def vacuum(machine: OperatingMachine, kilopascal: float, ratio: float) -> str:
    values: dict[OperatingQuantity, Measured | None] = {
        "pressure_ratio": Measured(ratio, 0.05),
        "suction_pressure": Measured(1e3 * kilopascal, 500.0),
    }
    return next(c.standing for c in operation(machine, values).checks if c.quantity == "suction_pressure")


@pytest.mark.parametrize(
    ("machine", "kilopascal", "ratio", "expected"),
    [
        (OperatingMachine("R-717", "reciprocating", "low-temperature"), 71.7, 4.0, "within"),
        (OperatingMachine("R-717", "screw", "low-temperature", "oil"), 71.7, 16.7, "within"),
        (OperatingMachine("R-717", "screw", "low-temperature", "oil"), 38.0, 16.7, "outside"),
        (OperatingMachine("R-717", "reciprocating", "medium-temperature"), 71.7, 4.0, "outside"),
        (OperatingMachine("R-717", "reciprocating"), 71.7, 4.0, "outside"),
        (OperatingMachine("R-22", "reciprocating", "low-temperature", "none"), 83.0, 4.2, "cannot tell"),
        (OperatingMachine("R-507A", "screw", "low-temperature", "oil"), 86.0, 4.1, "cannot tell"),
        (OperatingMachine("R-404A", "reciprocating", "low-temperature", "none"), 70.0, 20.0, "outside"),
        (OperatingMachine("R-404A", "scroll", "low-temperature", "none"), 84.4, 10.7, "outside"),
        (OperatingMachine("R-404A", "scroll", "medium-temperature", "none"), 84.4, 4.0, "outside"),
        (OperatingMachine("R-404A", "scroll", "low-temperature", "none"), 60.0, 4.0, "outside"),
        (OperatingMachine("R-134a", "scroll", "air-conditioning", "none"), 70.0, 12.9, "outside"),
    ],
)
def test_the_low_stage_of_a_cold_plant_is_in_vacuum_all_its_life(
    machine: OperatingMachine, kilopascal: float, ratio: float, expected: str
) -> None:
    """Ammonia at -40 degC stands at 72 kPa; a blocked feed pulls a single stage down against its whole lift."""
    assert vacuum(machine, kilopascal, ratio) == expected


def test_a_vacuum_that_may_be_a_low_stage_says_how_to_tell() -> None:
    machine = OperatingMachine("R-22", "reciprocating", "low-temperature", "none")
    values: dict[OperatingQuantity, Measured | None] = {"suction_pressure": Measured(83e3, 500.0)}
    assert operation(machine, values).verdict == "outside limits"  # without a ratio nothing speaks for it
    found = operation(machine, values | {"pressure_ratio": Measured(4.2, 0.05)})
    assert (found.verdict, found.checks[0].text) == ("cannot tell", LIMITS().low_stage.text)


def test_refrigerants_of_the_low_stage_exist() -> None:
    rule = LIMITS().low_stage
    assert {*rule.usual, *rule.perhaps} <= set(catalogue.designations())
