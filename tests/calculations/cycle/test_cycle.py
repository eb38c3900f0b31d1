"""The fitted cycle: made-up machines are found again, and the wrong reading is named only if the data can tell."""

import dataclasses
from collections.abc import Mapping, Sequence

import numpy as np
import pytest

from witnessmark.calculations.compressor.compressor_types import compressor_type
from witnessmark.calculations.compressor.wording import text
from witnessmark.calculations.cycle import cycle as cy
from witnessmark.calculations.cycle import cycle_model
from witnessmark.calculations.cycle.cycle_setup import prepare
from witnessmark.calculations.metrology import least_squares, reconciliation
from witnessmark.calculations.metrology.dogleg import Vector
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.errors import ConflictError, InputError
from witnessmark.vocabulary import Cooling

TRUTH = {
    "suction_pressure": 930e3,
    "discharge_pressure": 2.75e6,
    "superheat": 9.0,
    "subcooling": 5.0,
    "efficiency": 0.65,
    "loss": 0.07,
    "mass_flow": 0.1,
    "volumetric_efficiency": 0.92,
}
WIDTHS = {
    "suction_pressure": 8e3,
    "discharge_pressure": 15e3,
    "suction_temperature": 0.8,
    "discharge_temperature": 1.2,
    "liquid_temperature": 0.8,
    "evaporating_temperature": 0.8,
    "condensing_temperature": 0.8,
    "mass_flow": 0.0015,
    "power": 100.0,
    "cooling_capacity": 600.0,
}


def readings(leave_out: frozenset[str] = frozenset(), wrong: dict[str, float] | None = None) -> cy.CycleReadings:
    """Readings of a true machine, some left out, some wrong by so much."""
    found = cycle_model.predict("R-410A", TRUTH)
    errors = dict.fromkeys(WIDTHS.keys() - leave_out, 0.0) | (wrong or {})
    return cy.CycleReadings(**{name: Measured(found[name] + error, WIDTHS[name]) for name, error in errors.items()})


def test_finds_the_true_machine_again() -> None:
    found = cy.solve("R-410A", readings(), "scroll")
    truth = cycle_model.predict("R-410A", TRUTH)
    for name in ("superheat", "subcooling", "efficiency", "cooling_cop", "heating_cop", "power", "volumetric_capacity"):
        measured = getattr(found.numbers, name)
        assert abs(measured.value - truth[name]) < 0.7 * measured.uncertainty, name
    assert found.suspicion.verdict == "consistent"


def test_points_stand_in_order_with_their_states() -> None:
    found = cy.solve("R-410A", readings(), "scroll")
    assert [p.name for p in found.points] == ["suction", "discharge", "liquid", "evaporator_inlet", "ideal"]
    by_name = {p.name: p for p in found.points}
    assert by_name["liquid"].enthalpy.value == pytest.approx(by_name["evaporator_inlet"].enthalpy.value)
    assert by_name["evaporator_inlet"].pressure == by_name["suction"].pressure
    for point in found.points:
        assert point.state.enthalpy == pytest.approx(point.enthalpy.value)
        assert point.enthalpy.uncertainty > 0


@pytest.mark.parametrize("designation", ["R-32", "R-448A", "R-454B", "R-134a"])
def test_two_pressures_and_three_temperatures_suffice(designation: str) -> None:
    truth = {**TRUTH, "suction_pressure": 400e3, "discharge_pressure": 1.6e6}
    values = cycle_model.predict(designation, truth)
    wanted = (
        "suction_pressure",
        "discharge_pressure",
        "suction_temperature",
        "discharge_temperature",
        "liquid_temperature",
    )
    found = cy.solve(designation, cy.CycleReadings(**{n: Measured(values[n], WIDTHS[n]) for n in wanted}), "scroll")
    assert found.numbers.cooling_cop.value == pytest.approx(values["cooling_cop"], rel=0.03)
    assert found.numbers.mass_flow is None
    assert found.suspicion.verdict == "consistent"


@pytest.mark.parametrize(
    ("name", "error"),
    [
        ("suction_pressure", 180e3),
        ("condensing_temperature", -8.0),
        ("evaporating_temperature", 7.0),
        ("mass_flow", 0.03),
        ("power", -2000.0),
    ],
)
def test_names_the_reading_that_contradicts_the_others(name: str, error: float) -> None:
    found = cy.solve("R-410A", readings(wrong={name: error}), "scroll")
    assert found.suspicion.verdict == "one reading"
    (culprit,) = found.suspicion.suspects
    assert culprit.observation.name == name
    assert culprit.error == pytest.approx(error, rel=0.35)
    truth = cycle_model.predict("R-410A", TRUTH)
    assert found.corrected is not None
    for number in ("cooling_cop", "superheat", "efficiency", "power"):
        measured = getattr(found.corrected, number)
        assert abs(measured.value - truth[number]) < 1.5 * measured.uncertainty, number


def test_names_several_where_the_data_cannot_tell() -> None:
    """Only the compressor's ends are read: a cold discharge accuses everything that it was computed from."""
    few = frozenset({"evaporating_temperature", "condensing_temperature", "mass_flow", "power", "cooling_capacity"})
    found = cy.solve("R-410A", readings(few, {"discharge_temperature": -25.0}), "scroll")
    assert found.suspicion.verdict == "one of several"
    assert {"discharge_temperature", "suction_temperature"} <= {r.observation.name for r in found.suspicion.suspects}
    assert "liquid_temperature" not in {r.observation.name for r in found.suspicion.suspects}


def test_a_worn_compressor_is_told_from_a_wrong_reading() -> None:
    """All readings right, efficiency 0.35: the assumption is what does not fit."""
    values = cycle_model.predict("R-410A", TRUTH | {"efficiency": 0.35})
    found = cy.solve("R-410A", cy.CycleReadings(**{n: Measured(values[n], w) for n, w in WIDTHS.items()}), "scroll")
    assert found.suspicion.verdict == "one reading"
    assert found.suspicion.suspects[0].observation.name == "efficiency"
    assert found.corrected is None
    assert found.numbers.efficiency.value == pytest.approx(0.36, abs=0.02)


def test_volumetric_efficiency_from_displacement_and_speed() -> None:
    swept = 0.1 / (cycle_model.predict("R-410A", TRUTH)["suction_density"] * 0.92)
    full = dataclasses.replace(readings(), displacement=Measured(swept / 60, swept / 6000), speed=Measured(60.0, 0.3))
    found = cy.solve("R-410A", full, "scroll").numbers
    assert found.volumetric_efficiency is not None
    assert found.volumetric_efficiency.value == pytest.approx(0.92, abs=0.01)


def test_displacement_and_speed_are_left_out_together() -> None:
    """A displacement 30 % too small would need more than all the gas that it sweeps."""
    swept = 0.1 / (cycle_model.predict("R-410A", TRUTH)["suction_density"] * 0.92)
    full = dataclasses.replace(readings(), displacement=Measured(0.7 * swept / 60, 1e-8), speed=Measured(60.0, 0.1))
    found = cy.solve("R-410A", full, "scroll")
    assert [r.observation.name for r in found.suspicion.suspects] == ["swept_flow"]
    assert found.corrected is not None
    assert found.corrected.volumetric_efficiency is None


def test_a_reading_that_cannot_be_spared_leaves_no_correction() -> None:
    """Without the wrong suction pressure nothing would tell of the low side."""
    few = dataclasses.replace(
        readings(leave_out=frozenset({"evaporating_temperature"})),
        suction_pressure=Measured(TRUTH["suction_pressure"] + 300e3, 8e3),
    )
    found = cy.solve("R-410A", few, "scroll")
    assert [r.observation.name for r in found.suspicion.suspects] == ["suction_pressure"]
    assert found.corrected is None


def test_a_wet_machine_is_fitted_as_wet() -> None:
    truth = TRUTH | {"superheat": -5.0}
    values = cycle_model.predict("R-410A", truth)
    found = cy.solve("R-410A", cy.CycleReadings(**{n: Measured(values[n], w) for n, w in WIDTHS.items()}), "scroll")
    quality = found.numbers.suction_quality
    assert found.numbers.superheat == Measured(0.0)
    assert quality is not None
    assert quality.value == pytest.approx(0.95, abs=2 * quality.uncertainty)
    assert 0.001 < quality.uncertainty < 0.03
    assert quality.value == pytest.approx(found.points[0].quality, abs=1e-9)


def test_transcritical() -> None:
    ends = {"suction_pressure": 3.5e6, "discharge_pressure": 9.5e6, "suction_temperature": 285.0}
    ends |= {"discharge_temperature": 380.0, "liquid_temperature": 308.0}
    found = cy.solve("R-744", cy.CycleReadings(**{n: Measured(v, 0.003 * v) for n, v in ends.items()}), "reciprocating")
    assert found.numbers.subcooling is None
    assert found.numbers.discharge_bubble_temperature is None
    assert 1.5 < found.numbers.cooling_cop.value < 3.0
    assert all(text(note) for note in found.notes)


def test_a_discharge_beyond_the_equations_is_refused() -> None:
    """R-22 from 0.6 to 30 bar, warm: some 580 K by the usual efficiency, above the 550 K of its equation."""
    with pytest.raises(InputError, match="hotter than the property equations") as caught:
        cy.solve("R-22", cy.CycleReadings(Measured(6e4), Measured(3e6), suction_temperature=Measured(290.0, 1.0)))
    assert caught.value.field == "discharge_pressure"


def test_readings_that_do_not_settle_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(least_squares, "MOST_EVALUATIONS", 1)
    with pytest.raises(ConflictError, match="do not settle") as caught:
        cy.solve("R-410A", readings(wrong={"suction_temperature": 20.0}), "scroll")
    assert len(caught.value.fields) == 2
    assert set(caught.value.fields) <= WIDTHS.keys()


def test_uncertainty_agrees_with_random_draws_within_5_percent() -> None:
    """60 draws of every reading and every usual value, each fitted anew.

    To keep the sampling error (9 %) out, the same draws are also put through the linear response, whose spread is known
    exactly: what is compared is the ratio of both, times that spread.
    """
    few = cy.CycleReadings(
        suction_pressure=Measured(350e3, 3e3),
        discharge_pressure=Measured(1.16e6, 8e3),
        suction_temperature=Measured(287.0, 0.6),
        discharge_temperature=Measured(340.0, 0.8),
        liquid_temperature=Measured(312.0, 0.6),
    )
    problem = prepare("R-134a", few, compressor_type("scroll"))
    names = tuple(problem.parameters)

    def fitted(steps: Sequence[float]) -> dict[str, float]:
        def model(unknowns: Vector) -> dict[str, float]:
            return cycle_model.predict("R-134a", dict(zip(names, unknowns.tolist(), strict=True)))

        observed = [
            dataclasses.replace(o, value=o.value + z * o.sigma)
            for o, z in zip(problem.observations, steps, strict=True)
        ]
        return reconciliation.fit(model, tuple(problem.parameters.values()), observed).values

    count = len(problem.observations)
    centre = cy.solve("R-134a", few, "scroll").numbers
    base = fitted([0.0] * count)
    moved = [fitted([float(i == k) for i in range(count)]) for k in range(count)]
    draws = np.random.default_rng(8).standard_normal((60, count))
    drawn = [fitted(row) for row in draws.tolist()]
    for name in ("cooling_cop", "superheat", "refrigerating_effect", "work"):
        response = np.array([values[name] - base[name] for values in moved])
        ratio = np.std([values[name] for values in drawn]) / np.std(draws @ response)
        spread = float(ratio * np.linalg.norm(response))
        assert getattr(centre, name).uncertainty == pytest.approx(spread, rel=0.05), name


ENDS = {"R-410A": (930e3, 2.75e6), "R-134a": (330e3, 1.2e6), "R-448A": (400e3, 1.8e6)}
FIVE = ("suction_pressure", "discharge_pressure", "suction_temperature", "discharge_temperature", "liquid_temperature")


def machine(designation: str, **changes: float) -> dict[str, float]:
    """What every instrument on a true machine with this refrigerant shows."""
    ends = dict(zip(("suction_pressure", "discharge_pressure"), ENDS[designation], strict=True))
    return cycle_model.predict(designation, {**TRUTH, **ends, **changes})


def read(values: Mapping[str, float], *names: str) -> cy.CycleReadings:
    return cy.CycleReadings(**{name: Measured(values[name], WIDTHS[name]) for name in names})


@pytest.mark.parametrize("above", [-3.0, -2.0, -1.0, -0.3, 0.0, 0.3, 1.0, 2.0, 3.0])
@pytest.mark.parametrize("designation", ENDS)
def test_suction_temperatures_round_the_dew_point_are_answered(designation: str, above: float) -> None:
    """A true machine with 0.5 K of superheat whose suction thermometer reads up to 3 K beside the dew temperature.

    Down to twice its uncertainty below, the thermometer is reconciled; further below it contradicts the others, and
    is then named.
    """
    values = machine(designation, superheat=0.5)
    values["suction_temperature"] = values["suction_dew_temperature"] + above
    found = cy.solve(designation, read(values, *FIVE), "scroll")
    superheat = found.numbers.superheat
    assert 0 <= superheat.value <= max(0.2, above + 0.2)
    assert 0.5 < superheat.uncertainty < 3.0
    assert abs(found.numbers.cooling_cop.value - values["cooling_cop"]) < 2 * found.numbers.cooling_cop.uncertainty
    assert ("cycle-superheat-zero" in found.notes) == (above < 0)
    if above >= -2:
        assert found.suspicion.verdict == "consistent"
    elif found.suspicion.verdict != "consistent":
        assert "suction_temperature" in [r.observation.name for r in found.suspicion.suspects]


@pytest.mark.parametrize(
    ("name", "error"),
    [
        ("suction_pressure", 0.2),
        ("discharge_pressure", -0.12),
        ("suction_temperature", -8.0),
        ("discharge_temperature", 25.0),
        ("liquid_temperature", 10.0),
        ("mass_flow", 0.3),
    ],
)
@pytest.mark.parametrize("designation", ENDS)
def test_at_the_dew_point_no_true_reading_is_accused_alone(designation: str, name: str, error: float) -> None:
    """All instruments right but one (pressures and flow by a share, temperatures in K).

    With liquid possible at the suction, fewer readings check each other than on a dry machine: the liar may stand
    beside others that would explain as much, but it is always among the suspects.
    """
    values = machine(designation, superheat=0.3)
    values[name] += error if name.endswith("_temperature") else error * values[name]
    found = cy.solve(designation, read(values, *WIDTHS), "scroll")
    assert found.suspicion.verdict in {"one reading", "one of several"}
    assert name in [r.observation.name for r in found.suspicion.suspects]


@pytest.mark.parametrize("designation", ENDS)
def test_a_discharge_thermometer_at_its_dew_point_is_among_the_suspects(designation: str) -> None:
    """The best fit may make liquid of it; without it the readings meet far away, on the dry side."""
    values = machine(designation)
    values["discharge_temperature"] = values["discharge_dew_temperature"] + 1
    found = cy.solve(designation, read(values, *FIVE), "scroll")
    (told,) = [r for r in found.suspicion.suspects if r.observation.name == "discharge_temperature"]
    true = machine(designation)["discharge_temperature"]
    assert told.error == pytest.approx(values["discharge_temperature"] - true, abs=3)
    assert 0 < told.redundancy < 1


@pytest.mark.parametrize(("name", "error"), [("suction_temperature", -12.0), ("mass_flow", -0.3)])
@pytest.mark.parametrize("designation", ["R-134a", "R-448A"])
def test_on_a_dry_machine_the_liar_is_named(designation: str, name: str, error: float) -> None:
    """A suction thermometer wrong by 12 K reads 3 K below the dew temperature."""
    values = machine(designation)
    values[name] += error if name.endswith("_temperature") else error * values[name]
    found = cy.solve(designation, read(values, *WIDTHS), "scroll")
    assert [r.observation.name for r in found.suspicion.suspects] == [name]
    assert found.suspicion.verdict == "one reading"


@pytest.mark.parametrize(
    ("changes", "note"),
    [
        ({"superheat": -4.0}, "superheat"),
        ({"subcooling": -8.0}, "subcooling"),
        ({"superheat": -30.0, "efficiency": 0.75}, "discharge-superheat"),
    ],
)
def test_two_phases_are_said(changes: dict[str, float], note: str) -> None:
    """Worst wrong answer: a superheat of -15 K. It is 0, and the quality tells how much of the other phase there is."""
    found = cy.solve("R-410A", read(machine("R-410A", **changes), *WIDTHS), "scroll")
    assert f"cycle-{note}-below" in found.notes
    qualities = {"superheat": "suction", "subcooling": "liquid", "discharge-superheat": "discharge"}
    point = {p.name: p for p in found.points}[qualities[note]]  # type: ignore[index]
    quality = getattr(found.numbers, f"{qualities[note]}_quality")
    assert getattr(found.numbers, note.replace("-", "_")) == Measured(0.0)
    assert quality.value == pytest.approx(point.quality, abs=1e-9)
    assert all(text(each) for each in found.notes)


def test_hot_gas_beyond_the_data_is_said() -> None:
    values = machine("R-448A", discharge_pressure=2.6e6, efficiency=0.4)
    assert "extrapolated" not in cy.solve("R-448A", read(machine("R-448A"), *WIDTHS)).notes
    assert "extrapolated" in cy.solve("R-448A", read(values, *WIDTHS)).notes


@pytest.mark.parametrize("more", [(), ("discharge_temperature", "liquid_temperature")])
@pytest.mark.parametrize("low_side", ["suction_pressure", "evaporating_temperature"])
def test_a_suction_line_colder_than_its_gas_can_be_is_named(low_side: str, more: tuple[str, ...]) -> None:
    values = machine("R-410A")
    values["suction_temperature"] = values["suction_dew_temperature"] - 9
    found = cy.solve("R-410A", read(values, "discharge_pressure", low_side, "suction_temperature", *more))
    named = {r.observation.name for r in found.suspicion.suspects}
    assert found.suspicion.verdict == "one of several"
    assert {"suction_temperature", low_side} <= named
    assert "cycle-superheat-zero" in found.notes


def test_at_the_dew_point_the_uncertainty_is_about_that_of_random_draws() -> None:
    """First order fails at the kink, since draws fall to both sides; both sides together come near the draws.

    200 draws know their spread to 5 %. The mixture of both sides stays above it, since many draws end at the kink.
    """
    values = machine("R-134a", superheat=0.0)
    problem = prepare("R-134a", read(values, *FIVE), compressor_type("scroll"))
    names = tuple(problem.parameters)

    def model(unknowns: Vector) -> dict[str, float]:
        return cycle_model.predict("R-134a", dict(zip(names, unknowns.tolist(), strict=True)))

    def drawn(steps: Sequence[float]) -> dict[str, float]:
        moved = zip(problem.observations, steps, strict=True)
        observed = [dataclasses.replace(o, value=o.value + z * o.sigma) for o, z in moved]
        return model(least_squares.solve(model, tuple(problem.parameters.values()), observed).unknowns)

    rows = np.random.default_rng(5).standard_normal((200, len(problem.observations))).tolist()
    found = [drawn(row) for row in rows]
    centre = cy.solve("R-134a", read(values, *FIVE), "scroll").numbers
    for name in ("cooling_cop", "superheat", "refrigerating_effect"):
        stated = getattr(centre, name).uncertainty
        assert stated == pytest.approx(np.std([f[name] for f in found]), rel=0.2), name


def test_gas_and_liquid_alone_have_no_quality() -> None:
    numbers = cy.solve("R-410A", read(machine("R-410A"), *WIDTHS), "scroll").numbers
    assert (numbers.suction_quality, numbers.liquid_quality, numbers.discharge_quality) == (None, None, None)
    assert numbers.superheat.value > 0


@pytest.mark.parametrize("cooling", ["oil", "liquid", "vapour"])
def test_a_cooled_discharge_contradicts_nothing(cooling: Cooling) -> None:
    """Half of the work taken out of the gas: no reading is wrong, and no liquid comes in."""
    truth = TRUTH | {"loss": 0.5}
    values = cycle_model.predict("R-410A", {k: v for k, v in truth.items() if k != "discharge_superheat"})
    cooled = cy.solve("R-410A", read(values, *WIDTHS), "screw", cooling)
    assert cooled.suspicion.verdict == "consistent"
    assert cooled.numbers.suction_quality is None
    assert f"cycle-cooled-by-{cooling}" in cooled.notes
    assert text(f"cycle-cooled-by-{cooling}")
    plain = cy.solve("R-410A", read(values, *WIDTHS), "screw", "none")
    assert plain.suspicion.verdict != "consistent"


@pytest.mark.parametrize(
    ("discharge", "cooling", "verdict"),
    [(110.0, None, "consistent"), (125.0, None, "consistent"), (110.0, "none", "one of several"), (50.0, None, None)],
)
def test_heads_of_an_ammonia_compressor_may_be_cooled(
    discharge: float, cooling: Cooling | None, verdict: str | None
) -> None:
    """1.9 and 12 barg, −5 °C: dry gas at usual efficiency leaves at 140 °C, from heads cooled by water at 110 °C.

    Worst: a sound machine's thermometer is called wrong; 50 °C is liquid for all that.
    """
    read = cy.CycleReadings(
        Measured(291e3, 1e4), Measured(1301e3, 1.7e4), suction_temperature=Measured(268.15, 1.0),
        discharge_temperature=Measured(273.15 + discharge, 1.5), liquid_temperature=Measured(303.15, 1.0),
    )  # fmt: skip
    found = cy.solve("R-717", read, "reciprocating", cooling)
    assert ("heads-take" in found.notes) == (cooling is None)
    if verdict is None:
        assert found.numbers.suction_quality is not None or found.suspicion.verdict != "consistent"
    else:
        assert found.suspicion.verdict == verdict
