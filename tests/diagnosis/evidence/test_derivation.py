"""From field readings to derived numbers."""

from dataclasses import fields, replace

import pytest

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.diagnosis.evidence.derivation import in_words
from witnessmark.diagnosis.evidence.derive import Derived, derive
from witnessmark.diagnosis.evidence.field_readings import FieldReadings
from witnessmark.errors import OutOfRangeError
from witnessmark.refrigerants import saturation
from witnessmark.vocabulary import Condenser

PUMPING = FieldReadings(
    running=True,
    suction_pressure=Measured(8.8e5, 5e3),
    suction_temperature=Measured(286.15, 0.5),
    discharge_pressure=Measured(26e5, 2e4),
    discharge_temperature=Measured(357.15, 1.0),
    liquid_temperature=Measured(306.15, 0.5),
    sump_temperature=Measured(308.15, 1.0),
    outdoor_temperature=Measured(303.15, 0.5),
)
STALLED = replace(PUMPING, discharge_pressure=Measured(9.1e5, 5e3))


def by_id(result: Derived) -> dict[str, Measured]:
    return {r.quantity: Measured(r.value, r.uncertainty) for r in result.readings}


def test_numbers_are_those_of_their_definitions() -> None:
    result = by_id(derive("R-454B", PUMPING))
    assert result["suction-superheat"].value == pytest.approx(
        286.15 - float(saturation.dew_temperature("R-454B", 8.8e5)), abs=1e-9
    )
    bubble = float(saturation.bubble_temperature("R-454B", 26e5))
    assert result["subcooling"].value == pytest.approx(bubble - 306.15, abs=1e-9)
    dew = float(saturation.dew_temperature("R-454B", 26e5))
    assert result["condensing-over-ambient"].value == pytest.approx(dew - 303.15, abs=1e-9)
    assert dew > bubble
    assert result["compression-ratio"].value == pytest.approx(26 / 8.8)
    assert result["pressure-difference-running"].value == pytest.approx(17.2e5)
    assert 0.3 < result["isentropic-efficiency"].value < 1.0
    assert all(number.uncertainty > 0 for number in result.values())
    assert "sump-superheat-at-rest" not in result


def test_a_machine_that_builds_no_pressure_tells_nothing_of_superheat() -> None:
    result = derive("R-454B", STALLED)
    assert set(by_id(result)) == {"compression-ratio", "pressure-difference-running", "evaporating-unmoved"}
    assert any("does not pump" in remark for remark in result.remarks)


def test_a_small_difference_that_the_gauges_cannot_tell_is_not_called_stalled() -> None:
    vague = replace(STALLED, discharge_pressure=Measured(13.2e5, 2e5), suction_pressure=Measured(8.8e5, 1e5))
    assert "suction-superheat" in by_id(derive("R-454B", vague))


def test_at_rest_only_the_sump_is_judged() -> None:
    result = by_id(derive("R-454B", replace(PUMPING, running=False)))
    assert set(result) == {"sump-superheat-at-rest"}


def test_not_said_whether_it_ran() -> None:
    result = derive("R-454B", replace(PUMPING, running=None))
    assert {"suction-superheat", "subcooling"} <= set(by_id(result))
    assert not {"compression-ratio", "pressure-difference-running"} & set(by_id(result))
    assert any("Not said" in remark for remark in result.remarks)


def test_electrical_numbers() -> None:
    volts = (Measured(460.0, 1.0), Measured(467.0, 1.0), Measured(450.0, 1.0))
    stated = FieldReadings(
        line_voltages=volts,
        rated_voltage=Measured(460.0),
        line_currents=(Measured(20.0, 0.2), Measured(22.0, 0.2), Measured(18.0, 0.2)),
        running_current=Measured(20.0, 0.3),
        expected_current=Measured(25.0),
        winding_resistances=(Measured(1.0, 0.001), Measured(1.0, 0.001), Measured(1.1, 0.001)),
        starts_per_hour=Measured(14.0),
    )
    result = by_id(derive(None, stated))
    # 460, 467, 450 V -> 1.96 %: a published page quoting NEMA MG 1, 14.36
    assert result["voltage-unbalance"].value == pytest.approx(0.0196, abs=5e-5)
    assert result["lost-leg-by-current"].value < 0.2
    assert result["voltage-fraction"].value == pytest.approx(459 / 460)
    assert result["current-unbalance"].value == pytest.approx(0.1)
    assert result["current-fraction"].value == pytest.approx(0.8)
    assert result["winding-spread"].value > 0.05
    assert result["starts-per-hour"].value == 14


def test_insulation_is_brought_to_forty_degrees_where_the_winding_temperature_is_known() -> None:
    # 500 MOhm at 25 degC -> 177 MOhm at 40 degC: a published page quoting the halving rule of IEEE 43
    cold = FieldReadings(insulation_resistance=Measured(500e6, 5e6), winding_temperature=Measured(298.15, 1.0))
    assert by_id(derive(None, cold))["insulation-resistance"].value == pytest.approx(176.8e6, rel=0.01)
    bare = derive(None, replace(cold, winding_temperature=None))
    assert by_id(bare)["insulation-resistance"].value == 500e6
    assert any("taken as read" in remark for remark in bare.remarks)


def test_oil_and_charge() -> None:
    stated = FieldReadings(
        oil_acid_number=Measured(0.3, 0.02),
        oil_water=Measured(150e-6, 10e-6),
        oil_colour=Measured(5.0),
        recovered_charge=Measured(9.0, 0.05),
        due_charge=Measured(7.5),
    )
    result = by_id(derive(None, stated))
    assert result["charge-fraction"].value == pytest.approx(1.2)
    assert set(result) == {"oil-acid-number", "oil-water", "oil-colour", "charge-fraction"}


def test_nothing_given_nothing_derived() -> None:
    assert derive(None, FieldReadings()) == Derived((), (), ())


def test_low_temperature_machines_have_their_own_ratio() -> None:
    assert "compression-ratio-low-temperature" in by_id(derive("R-454B", PUMPING, low_temperature=True))


def set_aside(result: Derived) -> dict[tuple[str, ...], str]:
    return {aside.readings: aside.why for aside in result.set_aside}


@pytest.mark.parametrize(
    ("stated", "field"),
    [
        (FieldReadings(running_current=Measured(5.0), expected_current=Measured(0.0)), "expected_current"),
        (FieldReadings(line_voltages=(Measured(400.0),) * 3, rated_voltage=Measured(0.0)), "rated_voltage"),
        (FieldReadings(recovered_charge=Measured(1.0), due_charge=Measured(0.0)), "due_charge"),
    ],
)
def test_a_reference_of_zero_is_set_aside_and_named(stated: FieldReadings, field: str) -> None:
    assert "above zero" in set_aside(derive(None, stated))[(field,)]


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({"sump_temperature": Measured(308.15, 1.0)}, "suction_pressure"),
        ({"suction_temperature": Measured(286.15, 0.5)}, "suction_pressure"),
        ({"liquid_temperature": Measured(306.15, 0.5)}, "discharge_pressure"),
        ({"discharge_temperature": Measured(357.15, 1.0)}, "discharge_pressure"),
        ({"outdoor_temperature": Measured(303.15, 0.5)}, "discharge_pressure"),
    ],
)
def test_a_pressure_outside_the_curve_is_set_aside_and_the_rest_kept(given: dict[str, Measured], field: str) -> None:
    readings = FieldReadings(
        starts_per_hour=Measured(3.0),
        **{field: Measured(10.0, 1.0)},  # type: ignore[arg-type]
        **given,  # type: ignore[arg-type]
    )
    result = derive("R-454B", readings)
    assert "accepted range" in set_aside(result)[(field,)]
    assert "starts-per-hour" in by_id(result)
    assert any(line.startswith(f"Set aside: {field.replace('_', ' ')}: ") for line in result.remarks)


def test_readings_that_contradict_one_another_set_aside_only_what_hangs_on_them() -> None:
    result = derive("R-454B", replace(PUMPING, discharge_temperature=Measured(300.0, 0.5)))
    named = {name for readings in set_aside(result) for name in readings}
    assert named
    assert named <= {f.name for f in fields(FieldReadings)}
    assert {"suction-superheat", "subcooling"} <= set(by_id(result))


def test_swapped_hoses_are_named_while_running_and_say_nothing_otherwise() -> None:
    """Wrong answer that hurts: a machine called stalled, or flooding back, by two hoses on the wrong ports."""
    backwards = replace(PUMPING, discharge_pressure=Measured(8.0e5, 5e3))
    result = derive("R-454B", backwards)
    assert "which hose" in set_aside(result)["suction_pressure", "discharge_pressure"]
    assert set(by_id(result)) == {"discharge-temperature"}
    assert not any("does not pump" in remark for remark in result.remarks)
    assert derive("R-454B", replace(backwards, running=None)).readings == ()


def test_a_number_that_no_machine_has_is_set_aside() -> None:
    result = derive(None, FieldReadings(running_current=Measured(500.0), expected_current=Measured(0.1)))
    assert "no machine has" in set_aside(result)["running_current", "expected_current"]
    assert result.readings == ()


def test_without_the_refrigerant_what_needs_none_is_still_worked_out() -> None:
    """Wrong answer that hurts: the whole call refused for a discharge temperature beside pressures."""
    result = derive(None, PUMPING)
    assert set(by_id(result)) == {"discharge-temperature", "compression-ratio", "pressure-difference-running"}
    (line,) = [remark for remark in result.remarks if "the refrigerant is not given" in remark]
    assert "Suction superheat" in line
    assert "Subcooling" in line


STATED = {
    "suction_superheat": ("suction-superheat", 8.0),
    "discharge_superheat": ("discharge-superheat", 30.0),
    "subcooling": ("subcooling", 6.0),
    "compression_ratio": ("compression-ratio", 3.0),
}


@pytest.mark.parametrize("field", STATED)
def test_a_number_given_ready_made_is_taken_unless_the_machine_stood_still(field: str) -> None:
    quantity, value = STATED[field]
    given = FieldReadings(**{field: Measured(value, 0.5)})  # type: ignore[arg-type]
    assert by_id(derive(None, given)) == {quantity: Measured(value, 0.5)}
    assert derive(None, replace(given, running=False)).readings == ()


def test_a_number_given_beside_what_makes_it_is_one_piece_of_evidence() -> None:
    made = by_id(derive("R-454B", PUMPING))["suction-superheat"]
    twice = derive("R-454B", replace(PUMPING, suction_superheat=Measured(made.value + 1.0, 0.5)))
    assert [r.quantity for r in twice.readings].count("suction-superheat") == 1
    assert by_id(twice)["suction-superheat"] == made
    assert not any("disagree" in remark for remark in twice.remarks)


def test_a_number_given_that_disagrees_is_told_and_both_share_one_measurement() -> None:
    result = derive("R-454B", replace(PUMPING, suction_superheat=Measured(25.0, 0.5)))
    assert [r.quantity for r in result.readings].count("suction-superheat") == 2
    assert any("suction superheat was given as 25.0" in remark and "disagree" in remark for remark in result.remarks)


def test_a_stated_number_that_no_machine_has_is_set_aside() -> None:
    assert "no machine has" in set_aside(derive(None, FieldReadings(subcooling=Measured(150.0))))[("subcooling",)]


def test_a_stated_ratio_tells_that_nothing_is_pumped() -> None:
    given = FieldReadings(running=True, compression_ratio=Measured(1.1, 0.02), suction_superheat=Measured(0.0, 0.5))
    assert set(by_id(derive(None, given))) == {"compression-ratio"}


@pytest.mark.parametrize(
    ("condenser", "quantity"),
    [
        (None, "condensing-over-ambient"),
        ("air-cooled", "condensing-over-ambient"),
        ("water-cooled", "condensing-over-entering-water"),
        ("evaporative", "condensing-over-wet-bulb"),
    ],
)
def test_each_condenser_has_its_own_plateau(condenser: Condenser | None, quantity: str) -> None:
    result = derive("R-454B", PUMPING, condenser=condenser)
    assert quantity in by_id(result)
    assert (condenser is None) == any("taken as air-cooled" in remark for remark in result.remarks)


def test_every_number_that_a_full_set_of_readings_gives() -> None:
    found = by_id(derive("R-454B", PUMPING))
    assert set(found) == {
        "suction-superheat",
        "discharge-superheat",
        "discharge-temperature",
        "sump-superheat-running",
        "subcooling",
        "condensing-over-ambient",
        "compression-ratio",
        "pressure-difference-running",
        "isentropic-efficiency",
        "liquid-fraction",
    }
    assert found["discharge-temperature"] == Measured(357.15, 1.0)


def test_a_pressure_out_of_range_is_told_as_a_technician_reads_it() -> None:
    high = OutOfRangeError("discharge_pressure", 8.9e6, 5.18e5, 7.377e6, "pressure")
    assert in_words(high) == "above the accepted range; take 5.18 to 73.77 bar absolute, where it can be saturated"
    cold = OutOfRangeError("suction_temperature", 100.0, 200.0, 400.0, "temperature")
    assert in_words(cold) == "below the accepted range; take 200 to 400 (temperature, SI)"
